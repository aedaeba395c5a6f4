import { execFileSync, spawnSync } from 'node:child_process';
import {
  appendFileSync,
  chmodSync,
  mkdirSync,
  symlinkSync,
  truncateSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import type { ByteStream } from '@firmtally/core';
import { openFolder } from '@firmtally/host';
import { namedFiles } from '@firmtally/host/internal';
import { describe, expect, it } from 'vitest';
import { tempFolder } from '../../support/temp.js';

const POSIX = process.platform !== 'win32';
const ROOT_USER = POSIX && process.getuid?.() === 0;

async function readAll(stream: ByteStream): Promise<Buffer> {
  const parts: Uint8Array[] = [];
  for await (const chunk of stream) parts.push(chunk.slice());
  return Buffer.concat(parts);
}

/** Sizes around the block of 1 MiB that is read at once. */
const SIZES = [0, 1, 1_048_575, 1_048_576, 1_048_577, 2_097_152, 3_000_000];

function bytes(size: number): Buffer {
  const block = Buffer.alloc(size);
  for (let index = 0; index < size; index++) block[index] = (index * 7 + (index >> 8)) & 0xff;
  return block;
}

describe('reading a file', () => {
  it.each(SIZES)('gives all %i bytes', async (size) => {
    const root = tempFolder();
    writeFileSync(join(root, 'f'), bytes(size));
    const folder = await openFolder(root);
    expect((await readAll(folder.open('f'))).equals(bytes(size))).toBe(true);
  });

  it.each([
    [0, 10],
    [5, 5],
    [999_999, 2_500_001],
    [2_999_990, 9_000_000],
    [9_000_000, 9_000_001],
    [10, 5],
  ])('gives the range %i to %i, clipped to the end', async (start, end) => {
    const root = tempFolder();
    const content = bytes(3_000_000);
    writeFileSync(join(root, 'f'), content);
    const folder = await openFolder(root);
    const got = await readAll(folder.open('f', { start, end }));
    expect(got.equals(content.subarray(start, Math.max(start, end)))).toBe(true);
  });

  it('may be stopped half-way', async () => {
    const root = tempFolder();
    writeFileSync(join(root, 'f'), bytes(3_000_000));
    const folder = await openFolder(root);
    for (let turn = 0; turn < 50; turn++) {
      for await (const chunk of folder.open('f')) {
        expect(chunk.length).toBeGreaterThan(0);
        break;
      }
    }
  });

  it.each([
    ['grows', (path: string) => appendFileSync(path, 'more')],
    ['shrinks', (path: string) => truncateSync(path, 2_000_000)],
    ['is written in place', (path: string) => utimesSync(path, 1, 1)],
  ])('notices a file that %s meanwhile', async (_, change) => {
    const root = tempFolder();
    const path = join(root, 'f');
    writeFileSync(path, bytes(5_000_000));
    const folder = await openFolder(root);
    const read = async (): Promise<void> => {
      let changed = false;
      for await (const chunk of folder.open('f')) {
        if (!changed && chunk.length > 0) change(path);
        changed = true;
      }
    };
    await expect(read()).rejects.toMatchObject({ name: 'ReadError', code: 'changed-while-read' });
  });

  it('tells vanished, folders and paths that leave the root apart', async () => {
    const root = tempFolder();
    mkdirSync(join(root, 'sub'));
    const folder = await openFolder(root);
    const codeOf = (path: string): Promise<unknown> =>
      readAll(folder.open(path)).catch((error: unknown) => (error as { code: string }).code);
    expect(await codeOf('nope')).toBe('vanished');
    expect(await codeOf('sub')).toBe('not-a-file');
    for (const path of ['../f', 'sub/../../f', '/etc/passwd', 'a//b', './f', 'a\0b', '']) {
      expect(await codeOf(path)).toBe('outside-root');
    }
  });

  it.skipIf(!POSIX)(
    'reads a link inside the root as its target, and none that leads out',
    async () => {
      const outside = tempFolder();
      writeFileSync(join(outside, 'f'), 'secret');
      const root = tempFolder();
      writeFileSync(join(root, 'f'), 'hello');
      symlinkSync('f', join(root, 'in'));
      symlinkSync(join(outside, 'f'), join(root, 'out'));
      symlinkSync(outside, join(root, 'out-folder'));
      symlinkSync('loop', join(root, 'loop'));
      const folder = await openFolder(root);
      expect((await readAll(folder.open('in'))).toString()).toBe('hello');
      for (const path of ['out', 'out-folder/f']) {
        await expect(readAll(folder.open(path))).rejects.toMatchObject({ code: 'outside-root' });
      }
      await expect(readAll(folder.open('loop'))).rejects.toMatchObject({ code: 'broken-link' });
    },
  );

  it.skipIf(!POSIX)('never opens a FIFO or device', async () => {
    const root = tempFolder();
    execFileSync('mkfifo', [join(root, 'fifo')]);
    const folder = await openFolder(root);
    await expect(readAll(folder.open('fifo'))).rejects.toMatchObject({ code: 'not-a-file' });
    const named = namedFiles(root);
    await expect(readAll(named.open('fifo'))).rejects.toMatchObject({ code: 'not-a-file' });
    await expect(readAll(named.open('/dev/zero'))).rejects.toMatchObject({ code: 'not-a-file' });
  });

  it.skipIf(process.platform !== 'linux')("calls a shell's <(command) a FIFO", () => {
    const script = `
      import { namedFiles } from ${JSON.stringify(new URL('../../../packages/host/dist/internal.js', import.meta.url).href)};
      try { for await (const _ of namedFiles('/').open('/dev/fd/0')); } catch (e) { console.log(e.code); }`;
    const out = spawnSync(process.execPath, ['--input-type=module', '--eval', script], {
      input: 'piped',
      encoding: 'utf8',
      timeout: 20_000,
    });
    expect(out.stdout).toBe('not-a-file\n');
  });

  it.skipIf(!POSIX || ROOT_USER)('tells that permission is missing', async () => {
    const root = tempFolder();
    writeFileSync(join(root, 'f'), '');
    chmodSync(join(root, 'f'), 0);
    const folder = await openFolder(root);
    await expect(readAll(folder.open('f'))).rejects.toMatchObject({ code: 'permission-denied' });
  });

  it.skipIf(process.platform !== 'linux')(
    'does not give a file of unknown size (procfs says 0) as empty',
    async () => {
      const named = namedFiles('/');
      await expect(readAll(named.open('/proc/version'))).rejects.toMatchObject({
        code: 'changed-while-read',
      });
    },
  );
});
