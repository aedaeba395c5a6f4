import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import * as zlib from 'node:zlib';
import { memoryAccess, type Archive, type ArchiveMember } from '@firmtally/core';
import { fileAccess, openFolder, zipReader } from '@firmtally/host';
import { describe, expect, it } from 'vitest';
import { tempFolder } from '../../support/temp.js';

async function readMember(archive: Archive, member: ArchiveMember): Promise<Buffer> {
  const parts: Uint8Array[] = [];
  for await (const chunk of archive.read(member)) parts.push(chunk.slice());
  return Buffer.concat(parts);
}

const HAS_ZIP = spawnSync('zip', ['-v']).status === 0;

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

interface Made {
  readonly name: Buffer | string;
  readonly data: Buffer;
  /** Overrides of the declared fields. */
  readonly size?: number;
  readonly crc?: number;
  readonly method?: number;
  readonly flags?: number;
}

/** A ZIP by hand, after APPNOTE 6.3.10, sections 4.3.7, 4.3.12 and 4.3.16, so that it can lie. */
function makeZip(members: readonly Made[], count = members.length): Buffer {
  const local: Buffer[] = [];
  const central: Buffer[] = [];
  let offset = 0;
  for (const { name, data, size, crc, method = 8, flags = 0x800 } of members) {
    const raw = Buffer.from(name);
    const packed = method === 8 ? zlib.deflateRawSync(data) : data;
    const fields = Buffer.alloc(26);
    fields.writeUInt16LE(20, 0);
    fields.writeUInt16LE(flags, 2);
    fields.writeUInt16LE(method, 4);
    fields.writeUInt32LE(crc ?? crcOf(data), 10);
    fields.writeUInt32LE(packed.length, 14);
    fields.writeUInt32LE(size ?? data.length, 18);
    fields.writeUInt16LE(raw.length, 22);
    const header = Buffer.concat([Buffer.from('PK\x03\x04'), fields, raw, packed]);
    const tail = Buffer.alloc(14);
    tail.writeUInt32LE(offset, 10);
    central.push(Buffer.from('PK\x01\x02\x14\x00', 'latin1'), fields, tail, raw);
    local.push(header);
    offset += header.length;
  }
  const directory = Buffer.concat(central);
  const end = Buffer.alloc(22);
  end.write('PK\x05\x06', 'latin1');
  end.writeUInt16LE(count & 0xffff, 8);
  end.writeUInt16LE(count & 0xffff, 10);
  end.writeUInt32LE(directory.length, 12);
  end.writeUInt32LE(offset, 16);
  return Buffer.concat([...local, directory, end]);
}

/** Bitwise CRC-32 with the reflected polynomial EDB88320 (APPNOTE 4.4.7). */
function crcOf(data: Buffer): number {
  let crc = 0xffffffff;
  for (const byte of data) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = (crc >>> 1) ^ (crc & 1 ? 0xedb88320 : 0);
  }
  return ~crc >>> 0;
}

async function openMade(members: readonly Made[]): Promise<Archive> {
  return zipReader.open(memoryAccess(makeZip(members)));
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
    const archive = await openMade(names.map((name) => ({ name, data })));
    expect(archive.members.map(({ path }) => path)).toEqual(names);
    for (const member of archive.members) {
      expect((await readMember(archive, member)).equals(data)).toBe(true);
    }
  });

  it('reads names as code page 437 where the UTF-8 flag is off (APPNOTE appendix D)', async () => {
    const archive = await openMade([{ name: Buffer.from([0x84, 0x2e, 0xe1]), data, flags: 0 }]);
    expect(archive.members[0]?.path).toBe('ä.ß');
  });

  it.each([
    ['more bytes than declared', { size: 5 }],
    ['fewer bytes than declared', { size: 500 }],
    ['a wrong CRC-32', { crc: 1 }],
    ['an unknown compression method', { method: 99 }],
  ])('refuses %s', async (_, lie) => {
    const archive = await openMade([{ name: 'f', data, ...lie }]);
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
      { name: 'bomb', data: Buffer.alloc(50_000_000), size: 1000, crc: 0 },
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
    const archive = await openMade([{ name: 'f', data: big }]);
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
    const whole = makeZip([
      { name: 'a', data },
      { name: 'b', data, method: 0 },
    ]);
    for (let length = 0; length < whole.length; length++) {
      await expect(zipReader.open(memoryAccess(whole.subarray(0, length)))).rejects.toMatchObject({
        name: 'ReadError',
        code: 'bad-archive',
      });
    }
  });

  it('survives any single damaged byte: right bytes, or a ReadError', async () => {
    const whole = makeZip([
      { name: 'a', data },
      { name: 'b', data, method: 0 },
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
    const member = { name: Buffer.alloc(65_535, 'n'), data: Buffer.alloc(0), method: 0 };
    await expect(openMade(Array.from({ length: 600 }, () => member))).rejects.toMatchObject({
      code: 'limit-exceeded',
    });
  });

  it("passes the source's own errors on", async () => {
    const root = tempFolder();
    const folder = await openFolder(root);
    await expect(zipReader.open(fileAccess(folder, 'gone.zip', 1000))).rejects.toMatchObject({
      code: 'vanished',
    });
  });
});
