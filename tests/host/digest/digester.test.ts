import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { hashWasmEngine, type DigestEngine } from '@firmtally/core';
import { createDigester, nativeEngine, openFolder } from '@firmtally/host';
import { describe, expect, it } from 'vitest';
import { WorkerLost, WorkerPool } from '../../../packages/host/src/digest/worker-pool.js';
import { MAKES_LINKS } from '../../support/system.js';
import { tempFolder } from '../../support/temp.js';

const md5 = (content: string | Uint8Array): string =>
  createHash('md5').update(content).digest('hex');

/** The worker that is published in the bundle; in TypeScript source there is none. */
const WORKER = new URL('../../../packages/cli/dist/bundle/digest-worker.js', import.meta.url);

/** An engine of someone else's. */
const OTHER: DigestEngine = { name: 'other', create: (names) => nativeEngine.create(names) };

describe('createDigester', () => {
  it.each([nativeEngine, hashWasmEngine, OTHER])('300 files at once, $name', async (engine) => {
    const root = tempFolder();
    for (let index = 0; index < 300; index++) writeFileSync(join(root, `f${index}`), `#${index}`);
    const digester = createDigester(await openFolder(root), { engine });
    const results = await Promise.all(
      Array.from({ length: 300 }, (_, index) => digester.digestFile(`f${index}`, ['md5'])),
    );
    await digester.close();
    for (const [index, { size, digests }] of results.entries()) {
      expect(size).toBe(`#${index}`.length);
      expect(digests).toEqual({ md5: md5(`#${index}`) });
    }
  });

  it('tells bytes done, and fails with ReadError for one file only', async () => {
    const root = tempFolder();
    mkdirSync(join(root, 'sub'));
    writeFileSync(join(root, 'f'), Buffer.alloc(3_000_000));
    const digester = createDigester(await openFolder(root), { jobs: 1 });
    let told = 0;
    const good = digester.digestFile('f', ['crc32', 'md5'], (count) => (told += count));
    await expect(digester.digestFile('sub', ['md5'])).rejects.toMatchObject({
      name: 'ReadError',
      code: 'not-a-file',
    });
    expect(await good).toMatchObject({ size: 3_000_000 });
    expect(told).toBe(3_000_000);
    await digester.close();
  });
});

describe('WorkerPool', () => {
  const task = (path: string, root: string) =>
    ({ path, root, algorithms: ['md5', 'crc32'], engine: 'native' }) as const;

  it('digests on threads, with progress and read errors', async () => {
    const root = (await openFolder(tempFolder())).absolute('');
    const big = Buffer.alloc(20_000_000, 'firmware');
    writeFileSync(join(root, 'big'), big);
    for (let index = 0; index < 50; index++) writeFileSync(join(root, `f${index}`), `#${index}`);
    const elsewhere = fileURLToPath(import.meta.url);
    if (MAKES_LINKS) symlinkSync(elsewhere, join(root, 'out'));
    const pool = new WorkerPool(WORKER, 2);
    try {
      let told = 0;
      const all = await Promise.allSettled([
        pool.run(task(join(root, 'big'), root), big.length, (count) => (told += count)),
        pool.run(task(join(root, 'nope'), root), 0),
        pool.run(task(MAKES_LINKS ? join(root, 'out') : elsewhere, root), 0),
        ...Array.from({ length: 50 }, (_, index) =>
          pool.run(task(join(root, `f${index}`), root), 3),
        ),
      ]);
      const [first, vanished, out, ...small] = all;
      expect(first).toMatchObject({ value: { size: big.length, digests: { md5: md5(big) } } });
      expect(told).toBe(big.length);
      expect(vanished).toMatchObject({ reason: { name: 'ReadError', code: 'vanished' } });
      expect(out).toMatchObject({ reason: { name: 'ReadError', code: 'outside-root' } });
      for (const [index, each] of small.entries()) {
        expect(each).toMatchObject({ value: { digests: { md5: md5(`#${index}`) } } });
      }
    } finally {
      await pool.close();
    }
  });

  it('rejects every open job when a thread cannot start', async () => {
    const broken = new URL('data:text/javascript,throw new Error("no thread")');
    const pool = new WorkerPool(broken, 2);
    const jobs = ['a', 'b', 'c'].map((name) => pool.run(task(name, '/'), 2 << 20));
    for (const each of await Promise.allSettled(jobs)) {
      expect(each).toMatchObject({ status: 'rejected', reason: expect.any(WorkerLost) as unknown });
    }
    await expect(pool.run(task('d', '/'), 0)).rejects.toBeInstanceOf(WorkerLost);
  });

  it('does not keep the process alive when it was not closed', () => {
    const root = tempFolder();
    writeFileSync(join(root, 'f'), Buffer.alloc(17 << 20));
    const host = new URL('../../../packages/host/dist/index.js', import.meta.url).href;
    const script = `
      import { createDigester, openFolder } from ${JSON.stringify(host)};
      const digester = createDigester(await openFolder(process.argv[1]), { jobs: 2 });
      const { size } = await digester.digestFile('f', ['crc32']);
      console.log(size);`;
    const out = execFileSync(process.execPath, ['--input-type=module', '--eval', script, root], {
      encoding: 'utf8',
      timeout: 60_000,
    });
    expect(out.trim()).toBe(String(17 << 20));
  });
});
