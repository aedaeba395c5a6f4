import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { memoryAccess, type Archive, type ArchiveMember } from '@firmtally/core';
import { openFolder } from '@firmtally/host';
import { zipReader } from '@firmtally/host/internal';
import { fileAccess } from '@firmtally/host/internal';
import { describe, expect, it } from 'vitest';
import { openZip } from '../../../packages/host/src/archive/open-zip.js';
import { tempFolder } from '../../support/temp.js';
import { writeZip, type ZipLies, type ZipMember } from '../../support/zip.js';

async function readMember(archive: Archive, member: ArchiveMember): Promise<Buffer> {
  const parts: Uint8Array[] = [];
  for await (const chunk of archive.read(member)) parts.push(chunk.slice());
  return Buffer.concat(parts);
}

const HAS_ZIP = spawnSync('zip', ['-v']).status === 0;
const HAS_UNZIP = spawnSync('unzip', ['-v']).status === 0;

describe.skipIf(!HAS_ZIP)('archives made by Info-ZIP (skipped where zip is absent)', () => {
  const FILES: Readonly<Record<string, Buffer>> = {
    'plain.rom': Buffer.alloc(70_000, 'kestrel'),
    'empty.rom': Buffer.alloc(0),
    'sub/folder/deep.rom': Buffer.from([...Array(5000).keys()].map((n) => (n * n) & 0xff)),
    'käfer-ゲーム.rom': Buffer.from('unicode name'),
  };

  it.each([['-0'], ['-1'], ['-9'], ['-9 -X'], ['-9 -D']])('zip -r %s', async (options) => {
    const root = tempFolder();
    mkdirSync(join(root, 'in/sub/folder'), { recursive: true });
    for (const [name, content] of Object.entries(FILES)) {
      writeFileSync(join(root, 'in', name), content);
    }
    execFileSync('zip', ['-q', '-r', ...options.split(' '), '../made.zip', '.'], {
      cwd: join(root, 'in'),
      env: { ...process.env, LC_ALL: 'C.UTF-8' },
    });
    const { size } = statSync(join(root, 'made.zip'));
    const archive = await zipReader.open(fileAccess(await openFolder(root), 'made.zip', size));
    const files = archive.members.filter(({ kind }) => kind === 'file');
    expect(files.map(({ path }) => path).sort()).toEqual(Object.keys(FILES).sort());
    for (const member of files) {
      const content = FILES[member.path] ?? Buffer.alloc(0);
      expect(member).toMatchObject({ size: content.length, encrypted: false });
      expect((await readMember(archive, member)).equals(content)).toBe(true);
    }
    await archive.close();
  });

  it('refuses an encrypted member, but still lists it', async () => {
    const root = tempFolder();
    writeFileSync(join(root, 'f'), 'secret');
    execFileSync('zip', ['-q', '-P', 'word', 'e.zip', 'f'], { cwd: root });
    const archive = await zipReader.open(memoryAccess(readFileSync(join(root, 'e.zip'))));
    const [member] = archive.members;
    expect(member).toMatchObject({ path: 'f', encrypted: true });
    if (member === undefined) return;
    await expect(readMember(archive, member)).rejects.toMatchObject({ code: 'bad-archive' });
  });
});

async function openMade(members: readonly ZipMember[], lies?: ZipLies): Promise<Archive> {
  return zipReader.open(memoryAccess(writeZip(members, lies)));
}

describe('hostile archives', () => {
  const data = Buffer.from('some firmware');

  it('lists hostile and duplicate names as they are', async () => {
    const names = [
      '../../etc/passwd',
      '/abs',
      'C:/drive',
      'twice',
      'twice',
      '__proto__',
      'a\nb',
      '',
    ];
    const archive = await openMade(names.map((name) => ({ name, bytes: data })));
    expect(archive.members.map(({ path }) => path)).toEqual(names);
    for (const member of archive.members) {
      expect((await readMember(archive, member)).equals(data)).toBe(true);
    }
  });

  it('reads names as code page 437 where the UTF-8 flag is off (APPNOTE appendix D)', async () => {
    const archive = await openMade([{ name: Buffer.from([0x84, 0x2e, 0xe1]), bytes: data }]);
    expect(archive.members[0]?.path).toBe('ä.ß');
  });

  it.each([
    ['more bytes than declared', { size: 5 }],
    ['fewer bytes than declared', { size: 500 }],
    ['a wrong CRC-32', { crc32: 1 }],
    ['an unknown compression method', { method: 99 }],
  ])('refuses %s', async (_, lie) => {
    const archive = await openMade([{ name: 'f', bytes: data, deflate: true, says: lie }]);
    const [member] = archive.members;
    expect(member).toBeDefined();
    if (member === undefined) return;
    await expect(readMember(archive, member)).rejects.toMatchObject({
      name: 'ReadError',
      code: 'bad-archive',
    });
  });

  it('stops inflating a bomb at the size it declares', async () => {
    const archive = await openMade([
      {
        name: 'bomb',
        bytes: Buffer.alloc(50_000_000),
        deflate: true,
        says: { size: 1000, crc32: 0 },
      },
    ]);
    const [member] = archive.members;
    if (member === undefined) throw new Error('no member');
    let got = 0;
    const read = async (): Promise<void> => {
      for await (const chunk of archive.read(member)) got += chunk.length;
    };
    await expect(read()).rejects.toMatchObject({ code: 'bad-archive' });
    expect(got).toBeLessThanOrEqual(1000);
  });

  it('may stop reading half-way, and read again', async () => {
    const big = Buffer.alloc(1_000_000, 'abc');
    const archive = await openMade([{ name: 'f', bytes: big, deflate: true }]);
    const [member] = archive.members;
    if (member === undefined) throw new Error('no member');
    for await (const chunk of archive.read(member)) {
      expect(chunk.length).toBeGreaterThan(0);
      break;
    }
    expect((await readMember(archive, member)).equals(big)).toBe(true);
    await archive.close();
  });

  it('gives bad-archive for what is no ZIP, and never hangs on one cut anywhere', async () => {
    const whole = writeZip([
      { name: 'a', bytes: data, deflate: true },
      { name: 'b', bytes: data },
    ]);
    for (let length = 0; length < whole.length; length++) {
      await expect(zipReader.open(memoryAccess(whole.subarray(0, length)))).rejects.toMatchObject({
        name: 'ReadError',
        code: 'bad-archive',
      });
    }
  });

  it('survives any single damaged byte: right bytes, or a ReadError', async () => {
    const whole = writeZip([
      { name: 'a', bytes: data, deflate: true },
      { name: 'b', bytes: data },
    ]);
    for (let index = 0; index < whole.length; index++) {
      const damaged = Buffer.from(whole);
      damaged[index] = (damaged[index] ?? 0) ^ 0xff;
      try {
        const archive = await zipReader.open(memoryAccess(damaged));
        for (const member of archive.members) {
          const content = await readMember(archive, member);
          expect(content.equals(data)).toBe(true);
        }
      } catch (error) {
        expect(error).toMatchObject({ name: 'ReadError' });
      }
    }
  });

  it('bounds the list of members', async () => {
    // 600 names of 64 KiB take more than the 32 MiB allowed.
    const member = { name: Buffer.alloc(65_535, 'n'), bytes: Buffer.alloc(0) };
    await expect(openMade(Array.from({ length: 600 }, () => member))).rejects.toMatchObject({
      code: 'limit-exceeded',
    });
  });

  it('refuses members that share bytes, as unzip does', async () => {
    const bytes = Buffer.alloc(100_000, 'k');
    const first: ZipMember = { name: 'k0', bytes, deflate: true };
    // All of them one local header ("full overlap"), and one whose data holds the next ("quoted").
    const full = writeZip([
      first,
      ...['k1', 'k2'].map((name) => ({ ...first, name, says: { localOffset: 0 } })),
    ]);
    const inner = writeZip([{ name: 'k1', bytes }]).subarray(0, 32 + bytes.length);
    const quoted = writeZip([
      { name: 'k0', bytes: inner },
      { name: 'k1', bytes, says: { localOffset: 32 } },
    ]);
    for (const zip of [full, quoted]) {
      await expect(zipReader.open(memoryAccess(zip))).rejects.toMatchObject({
        code: 'bad-archive',
        message: expect.stringContaining('overlap') as string,
      });
      if (!HAS_UNZIP) continue;
      const path = join(tempFolder(), 'bomb.zip');
      writeFileSync(path, zip);
      const { stderr, stdout, status } = spawnSync('unzip', ['-t', path], { encoding: 'utf8' });
      expect(status).not.toBe(0);
      expect(stderr + stdout).toContain('overlapped components (possible zip bomb)');
    }
  });

  it('gives no more bytes in all than it is allowed and 32 for each of its own, read once or often', async () => {
    const bytes = Buffer.alloc(4 << 20);
    const zip = writeZip([
      { name: 'a', bytes, deflate: true },
      { name: 'b', bytes, deflate: true },
    ]);
    const allowed = 20 << 20;
    const archive = await openZip(memoryAccess(zip), allowed);
    let total = 0;
    const read = async (): Promise<void> => {
      for (let turn = 0; turn < 9; turn++) {
        for (const member of archive.members) {
          for await (const chunk of archive.read(member)) total += chunk.length;
        }
      }
    };
    await expect(read()).rejects.toMatchObject({ code: 'limit-exceeded' });
    expect(total).toBeGreaterThanOrEqual(allowed);
    expect(total).toBeLessThanOrEqual(allowed + 32 * zip.length);
  });

  it("passes the source's own errors on", async () => {
    const root = tempFolder();
    const folder = await openFolder(root);
    await expect(zipReader.open(fileAccess(folder, 'gone.zip', 1000))).rejects.toMatchObject({
      code: 'vanished',
    });
  });
});
