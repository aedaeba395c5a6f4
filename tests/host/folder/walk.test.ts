import { execFileSync } from 'node:child_process';
import { chmodSync, mkdirSync, renameSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import {
  isReadable,
  type Entry,
  type Fault,
  type FolderSource,
  type Listed,
} from '@firmtally/core';
import { openFolder } from '@firmtally/host';
import { describe, expect, it, onTestFinished } from 'vitest';
import { tempFolder } from '../../support/temp.js';

const POSIX = process.platform !== 'win32';
const LINUX = process.platform === 'linux';
const ROOT_USER = POSIX && process.getuid?.() === 0;

async function listAll(folder: FolderSource): Promise<Map<string, Entry | Fault>> {
  const found = new Map<string, Entry | Fault>();
  for await (const each of folder.list()) found.set(each.path, each);
  return found;
}

describe('listing a folder', () => {
  it('finds files, folders and sizes at any depth', async () => {
    const root = tempFolder();
    mkdirSync(join(root, 'a/b/c'), { recursive: true });
    writeFileSync(join(root, 'top'), '');
    writeFileSync(join(root, 'a/b/c/deep.bin'), 'twelve bytes');
    const found = await listAll(await openFolder(root));
    expect([...found.keys()].sort()).toEqual(['a', 'a/b', 'a/b/c', 'a/b/c/deep.bin', 'top']);
    expect(found.get('a/b/c/deep.bin')).toMatchObject({ kind: 'file', size: 12 });
    expect(found.get('a/b')).toEqual({ path: 'a/b', kind: 'folder', size: 0 });
  });

  it('gives the same names without sizes, and each size when asked', async () => {
    const root = tempFolder();
    mkdirSync(join(root, 'a/b'), { recursive: true });
    writeFileSync(join(root, 'a/b/deep.bin'), 'twelve bytes');
    if (POSIX) symlinkSync('a/b/deep.bin', join(root, 'link'));
    const folder = await openFolder(root);
    const { names } = folder;
    if (names === undefined) return expect.fail('a folder on disk lists names alone');
    const full = await listAll(folder);
    const bare = new Map<string, Listed>();
    for await (const batch of names.list()) {
      for (const found of [batch].flat()) if ('kind' in found) bare.set(found.path, found);
    }
    expect([...bare.keys()].sort()).toEqual([...full.keys()].sort());
    for (const [path, entry] of bare) {
      expect(entry).not.toHaveProperty('size');
      if (isReadable(entry)) expect(await names.stat(entry)).toEqual(full.get(path));
    }
    rmSync(join(root, 'a/b/deep.bin'));
    const gone = bare.get('a/b/deep.bin') ?? expect.fail('it was listed');
    expect(() => names.stat(gone)).toThrow(expect.objectContaining({ code: 'vanished' }) as Error);
  });

  it('stops listing when told to', async () => {
    const root = tempFolder();
    for (const name of ['a', 'b', 'c']) writeFileSync(join(root, name), '');
    const folder = await openFolder(root);
    const reason = new Error('enough');
    const controller = new AbortController();
    const found: string[] = [];
    const listing = async (): Promise<void> => {
      for await (const { path } of folder.list({ signal: controller.signal })) {
        found.push(path);
        controller.abort(reason);
      }
    };
    await expect(listing()).rejects.toBe(reason);
    expect(found).toHaveLength(1);
  });

  it('goes 300 folders deep without recursion', async () => {
    const root = tempFolder();
    const deep = Array.from({ length: 300 }, () => 'd').join('/');
    mkdirSync(join(root, deep), { recursive: true });
    writeFileSync(join(root, deep, 'f'), 'x');
    expect((await listAll(await openFolder(root))).get(`${deep}/f`)).toMatchObject({ size: 1 });
  });

  it.skipIf(!POSIX)('classifies links and follows none', async () => {
    const outside = tempFolder();
    writeFileSync(join(outside, 'secret'), 'x');
    const root = tempFolder();
    mkdirSync(join(root, 'sub'));
    writeFileSync(join(root, 'sub/real'), 'hello');
    symlinkSync('sub/real', join(root, 'good'));
    symlinkSync('good', join(root, 'twice'));
    symlinkSync('sub', join(root, 'to-folder'));
    symlinkSync('.', join(root, 'to-root'));
    symlinkSync('..', join(root, 'sub/up'));
    symlinkSync('loop', join(root, 'loop'));
    symlinkSync('nowhere', join(root, 'broken'));
    symlinkSync(join(outside, 'secret'), join(root, 'out'));
    symlinkSync(outside, join(root, 'out-folder'));
    // A name that only begins like the root.
    mkdirSync(`${root}-twin`);
    onTestFinished(() => rmSync(`${root}-twin`, { recursive: true }));
    writeFileSync(`${root}-twin/f`, 'x');
    symlinkSync(`${root}-twin/f`, join(root, 'twin'));

    const found = await listAll(await openFolder(root));
    const links = [...found.values()].flatMap((each) =>
      'kind' in each && each.link !== undefined ? [[each.path, each.link]] : [],
    );
    const inside = { resolvesTo: 'sub/real', fault: null };
    const fault = (code: string): object => ({ resolvesTo: null, fault: code });
    expect(Object.fromEntries(links)).toEqual({
      good: inside,
      twice: inside,
      'to-folder': fault('not-a-file'),
      'to-root': fault('not-a-file'),
      'sub/up': fault('not-a-file'),
      loop: fault('broken-link'),
      broken: fault('broken-link'),
      out: fault('outside-root'),
      'out-folder': fault('outside-root'),
      twin: fault('outside-root'),
    });
    expect(found.get('good')).toMatchObject({ kind: 'link', size: 5 });
    expect([...found.keys()].filter((path) => path.includes('up/'))).toEqual([]);
  });

  it.skipIf(!POSIX)('names FIFOs and sockets for what they are', async () => {
    const root = tempFolder();
    execFileSync('mkfifo', [join(root, 'fifo')]);
    const server = createServer();
    await new Promise<void>((resolve) => server.listen(join(root, 'socket'), resolve));
    onTestFinished(() => void server.close());
    const found = await listAll(await openFolder(root));
    expect(found.get('fifo')).toMatchObject({ kind: 'fifo', size: 0 });
    expect(found.get('socket')).toMatchObject({ kind: 'socket', size: 0 });
    expect([...found.values()].some((each) => 'kind' in each && isReadable(each))).toBe(false);
  });

  it.skipIf(!LINUX)('keeps names that are not UTF-8 apart, and reads them', async () => {
    const root = tempFolder();
    for (const byte of [0xfe, 0xff]) {
      const name = Buffer.concat([Buffer.from(`${root}/caf`), Buffer.from([byte])]);
      writeFileSync(name, String(byte));
    }
    writeFileSync(join(root, 'caf\ufffd'), 'replacement');
    const folder = await openFolder(root);
    expect([...(await listAll(folder)).keys()].sort()).toEqual([
      'caf\udcfe',
      'caf\udcff',
      'caf\ufffd',
    ]);
    const parts: Uint8Array[] = [];
    for await (const chunk of folder.open('caf\udcfe')) parts.push(chunk.slice());
    expect(Buffer.concat(parts).toString()).toBe('254');
  });

  it.skipIf(!POSIX || ROOT_USER)('gives a fault for a folder it may not list', async () => {
    const root = tempFolder();
    mkdirSync(join(root, 'closed'));
    chmodSync(join(root, 'closed'), 0);
    onTestFinished(() => chmodSync(join(root, 'closed'), 0o700));
    const faults: Fault[] = [];
    for await (const each of (await openFolder(root)).list()) if ('code' in each) faults.push(each);
    expect(faults).toMatchObject([{ path: 'closed', code: 'permission-denied' }]);
  });

  it('passes over what vanishes during the walk', async () => {
    const root = tempFolder();
    for (const name of ['one', 'two']) {
      mkdirSync(join(root, name));
      writeFileSync(join(root, name, 'inside'), '');
    }
    writeFileSync(join(root, 'z-last'), '');
    const seen: (Entry | Fault)[] = [];
    for await (const each of (await openFolder(root)).list()) {
      seen.push(each);
      if (seen.length > 1) continue;
      for (const name of ['one', 'two', 'z-last']) rmSync(join(root, name), { recursive: true });
    }
    expect(seen.length).toBeGreaterThan(0);
    expect(seen.filter((each) => 'code' in each)).toEqual([]);
    expect(seen.filter(({ path }) => path.endsWith('inside'))).toEqual([]);
  });

  it('ends with trouble when the card is pulled out, even when a folder of that name is left', async () => {
    const root = join(tempFolder(), 'card');
    mkdirSync(join(root, 'sub'), { recursive: true });
    writeFileSync(join(root, 'f'), '');
    const folder = await openFolder(root);
    renameSync(root, `${root}-gone`);
    await expect(listAll(folder)).rejects.toMatchObject({ code: 'root-unreadable' });
    mkdirSync(root);
    await expect(listAll(folder)).rejects.toMatchObject({ code: 'root-unreadable' });
  });
});

describe('opening a folder', () => {
  it('tells what is wrong with the root', async () => {
    const folder = tempFolder();
    writeFileSync(join(folder, 'file'), '');
    const open = (name: string): Promise<unknown> => openFolder(join(folder, name));
    await expect(open('nope')).rejects.toMatchObject({
      code: 'root-unreadable',
      message: expect.stringContaining('no such folder') as string,
      remedy: expect.any(String) as string,
    });
    await expect(open('file')).rejects.toMatchObject({
      code: 'root-unreadable',
      message: expect.stringContaining('not a folder') as string,
    });
  });

  it.skipIf(!POSIX)('takes a root that is itself a link', async () => {
    const base = tempFolder();
    mkdirSync(join(base, 'real'));
    writeFileSync(join(base, 'real/f'), 'x');
    symlinkSync('real', join(base, 'link'));
    const folder = await openFolder(join(base, 'link'));
    expect([...(await listAll(folder)).keys()]).toEqual(['f']);
  });
});
