/**
 * The compiled code kept between runs may be missing, damaged or of other
 * code: what a command prints must be the same, and the cache be made anew.
 */
import {
  chmodSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { Script } from 'node:vm';
import { crc32 } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { firmtally, type CliResult } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

const posix = process.platform !== 'win32';

/** A cache of its own for `firmtally schema`, whose one file a first run has made. */
async function warmCache(): Promise<{ caches: string; folder: string; file: string }> {
  const caches = tempFolder();
  await run(caches);
  const folder = join(caches, 'firmtally');
  const [name = '', ...more] = readdirSync(folder);
  expect(more).toEqual([]);
  return { caches, folder, file: join(folder, name) };
}

function run(caches: string, env: Readonly<Record<string, string>> = {}): Promise<CliResult> {
  return firmtally(['schema', 'manifest'], {
    env: { XDG_CACHE_HOME: caches, LOCALAPPDATA: caches, HOME: caches, ...env },
  });
}

function withChecksum(code: Buffer): Buffer {
  const checksum = Buffer.alloc(4);
  checksum.writeUInt32LE(crc32(code));
  return Buffer.concat([code, checksum]);
}

const plain = firmtally(['schema', 'manifest'], { env: { NODE_DISABLE_COMPILE_CACHE: '1' } });

// macOS has its caches in a folder below HOME, which the helpers above do not follow.
describe.skipIf(process.platform === 'darwin')('the code cache', () => {
  it('is made by the first run, and left as it is by the next', async () => {
    const { caches, file } = await warmCache();
    utimesSync(file, 1e9, 1e9);
    expect(await run(caches)).toEqual(await plain);
    expect(statSync(file).mtimeMs).toBe(1e12);
    if (posix) expect(statSync(file).mode & 0o777).toBe(0o600);
  });

  it.each<[string, (bytes: Buffer) => Buffer]>([
    ['empty', () => Buffer.alloc(0)],
    ['shorter than a checksum', (bytes) => bytes.subarray(0, 3)],
    ['cut', (bytes) => bytes.subarray(0, bytes.length >> 1)],
    ['damaged by one bit', (bytes) => flipped(bytes, bytes.length >> 1)],
    ['without its checksum', (bytes) => bytes.subarray(0, -4)],
    ['of other code', () => withChecksum(new Script('1 + 1').createCachedData())],
    ['no code at all', () => withChecksum(Buffer.from('invented'))],
  ])('is replaced when it is %s', async (_what, spoil) => {
    const { caches, file } = await warmCache();
    const good = readFileSync(file);
    const spoiled = spoil(Buffer.from(good));
    writeFileSync(file, spoiled);
    expect(await run(caches)).toEqual(await plain);
    const now = readFileSync(file);
    expect(now.equals(spoiled)).toBe(false);
    expect(now.readUInt32LE(now.length - 4)).toBe(crc32(now.subarray(0, -4)));
  });

  it('may be a folder, or lie where nothing can be written', async () => {
    const { caches, file, folder } = await warmCache();
    rmSync(file);
    mkdirSync(file);
    expect(await run(caches)).toEqual(await plain);
    expect(readdirSync(folder)).toHaveLength(1);
    rmSync(folder, { recursive: true });
    writeFileSync(folder, 'a file in the place of the folder');
    expect(await run(caches)).toEqual(await plain);
  });

  it.runIf(posix)('is not taken from a file that others may write', async () => {
    const { caches, file } = await warmCache();
    chmodSync(file, 0o666);
    expect(await run(caches)).toEqual(await plain);
    expect(statSync(file).mode & 0o777).toBe(0o600);
  });

  it('forgets what has not been made anew for a month', async () => {
    const { caches, file, folder } = await warmCache();
    const old = join(folder, 'main-OLD.js-v1.2.3-x64-audit.v8');
    const foreign = join(folder, 'notes.txt');
    for (const path of [old, foreign]) {
      writeFileSync(path, '');
      utimesSync(path, 1e9, 1e9);
    }
    rmSync(file);
    await run(caches);
    expect(existsSync(old)).toBe(false);
    expect(existsSync(foreign)).toBe(true);
  });

  it('is not made by a run that fails, nor where NODE_DISABLE_COMPILE_CACHE is set', async () => {
    const caches = tempFolder();
    await firmtally(['schema', 'no-such-document'], {
      env: { XDG_CACHE_HOME: caches, LOCALAPPDATA: caches },
    });
    expect(await run(caches, { NODE_DISABLE_COMPILE_CACHE: '1' })).toEqual(await plain);
    expect(readdirSync(caches)).toEqual([]);
  });
});

function flipped(bytes: Buffer, at: number): Buffer {
  bytes[at] = (bytes[at] ?? 0) ^ 1;
  return bytes;
}
