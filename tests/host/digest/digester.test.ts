import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, symlinkSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { hashWasmEngine, type DigestEngine } from '@firmtally/core';
import { openFolder } from '@firmtally/host';
import { createDigester, nativeEngine } from '@firmtally/host/internal';
import { describe, expect, it } from 'vitest';
import { WORKER_SOURCE } from '../../../packages/host/dist/digest/worker-source.js';
import { WorkerLost, WorkerPool } from '../../../packages/host/src/digest/worker-pool.js';
import { MAKES_LINKS } from '../../support/system.js';
import { tempFolder } from '../../support/temp.js';

const md5 = (content: string | Uint8Array): string =>
  createHash('md5').update(content).digest('hex');

/** The worker that is published; in TypeScript source there is none. */
const WORKER = WORKER_SOURCE ?? '';

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
    const good = digester.digestFile('f', ['crc32', 'md5'], {
      onBytes: (count) => (told += count),
    });
    await expect(digester.digestFile('sub', ['md5'])).rejects.toMatchObject({
      name: 'ReadError',
      code: 'not-a-file',
    });
    expect(await good).toMatchObject({ size: 3_000_000 });
    expect(told).toBe(3_000_000);
    await digester.close();
  });
});

describe('a digester on the main thread', () => {
  it('rejects with what a callback throws, and goes on with other files', async () => {
    const root = tempFolder();
    writeFileSync(join(root, 'f'), Buffer.alloc(300_000));
    const digester = createDigester(await openFolder(root), { jobs: 1 });
    const boom = new Error('thrown by the callback');
    const onBytes = (): void => {
      throw boom;
    };
    await expect(digester.digestFile('f', ['md5'], { onBytes })).rejects.toBe(boom);
    expect((await digester.digestFile('f', ['md5'])).size).toBe(300_000);
  });

  it.each([nativeEngine, OTHER])(
    'stops for a signal and when it is closed, $name',
    async (engine) => {
      const root = tempFolder();
      writeFileSync(join(root, 'f'), Buffer.alloc(3_000_000));
      const digester = createDigester(await openFolder(root), { jobs: 1, engine });
      const reason = new Error('enough');
      const controller = new AbortController();
      const all = Array.from({ length: 9 }, () =>
        digester.digestFile('f', ['sha256'], { signal: controller.signal }),
      );
      controller.abort(reason);
      for (const each of await Promise.allSettled(all)) expect(each).toMatchObject({ reason });
      const open = digester.digestFile('f', ['sha256']);
      const closed = digester.close();
      await expect(open).rejects.toThrow('closed');
      await closed;
      await expect(digester.digestFile('f', ['sha256'])).rejects.toThrow('closed');
    },
  );

  it('goes on without threads where the system starts none, and says so once', () => {
    const root = tempFolder();
    writeFileSync(join(root, 'f'), Buffer.alloc(17 << 20));
    const host = new URL('../../../packages/host/dist/index.js', import.meta.url).href;
    const script = `
      import { openFolder } from ${JSON.stringify(host)};
      const folder = await openFolder(process.argv[1], {
        jobs: 4,
        onNotice: (notice) => console.log(notice),
      });
      const files = ['f', 'f', 'f'].map((path) => folder.digestFile(path, ['crc32']));
      for (const { size } of await Promise.all(files)) console.log(size);`;
    // Node's permission model refuses threads unless they are allowed by name.
    const permission = ['--permission', '--experimental-permission'].find((flag) =>
      process.allowedNodeEnvironmentFlags.has(flag),
    );
    const args = [permission ?? '', '--allow-fs-read=*', '--no-warnings'];
    const out = execFileSync(
      process.execPath,
      [...args, '--input-type=module', '--eval', script, root],
      { encoding: 'utf8', timeout: 100_000 },
    );
    const size = String(17 << 20);
    expect(out.trim().split('\n')).toEqual([
      expect.stringContaining('no thread') as string,
      size,
      size,
      size,
    ]);
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
        pool.run(task(join(root, 'big'), root), big.length, {
          onBytes: (count) => (told += count),
        }),
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
      await pool.close(new Error('done'));
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

  it('rejects with what a callback throws; the other files are done', async () => {
    const root = (await openFolder(tempFolder())).absolute('');
    writeFileSync(join(root, 'big'), Buffer.alloc(20_000_000));
    writeFileSync(join(root, 'small'), 'x');
    const pool = new WorkerPool(WORKER, 1);
    const boom = new Error('thrown by the callback');
    const onBytes = (): void => {
      throw boom;
    };
    try {
      const big = pool.run(task(join(root, 'big'), root), 20_000_000, { onBytes });
      const small = pool.run(task(join(root, 'small'), root), 1, { onBytes });
      const last = pool.run(task(join(root, 'small'), root), 1);
      await expect(big).rejects.toBe(boom);
      await expect(small).rejects.toBe(boom);
      expect(await last).toMatchObject({ size: 1 });
    } finally {
      await pool.close(new Error('done'));
    }
  });

  it('rejects at once for a signal: what runs, what waits, and what comes later', async () => {
    const root = (await openFolder(tempFolder())).absolute('');
    writeFileSync(join(root, 'big'), '');
    truncateSync(join(root, 'big'), 2 ** 36); // 64 GiB of nothing: no thread is ever done with it
    writeFileSync(join(root, 'small'), 'x');
    const pool = new WorkerPool(WORKER, 1);
    const reason = new Error('enough');
    const controller = new AbortController();
    const { signal } = controller;
    try {
      const started = new Promise<void>((resolve) => {
        const big = task(join(root, 'big'), root);
        const running = pool.run(big, 2 ** 36, { signal, onBytes: () => resolve() });
        const waiting = pool.run(big, 2 ** 36, { signal });
        void Promise.allSettled([running, waiting]).then((ends) => {
          for (const end of ends) expect(end).toMatchObject({ reason });
        });
      });
      await started;
      controller.abort(reason);
      await expect(pool.run(task('/', '/'), 1, { signal })).rejects.toBe(reason);
      // The thread has left the big file, else it would never come to this one.
      expect(await pool.run(task(join(root, 'small'), root), 1)).toMatchObject({ size: 1 });
    } finally {
      await pool.close(new Error('done'));
    }
  });

  it('rejects what is open with the reason when it is closed', async () => {
    const root = (await openFolder(tempFolder())).absolute('');
    writeFileSync(join(root, 'big'), '');
    truncateSync(join(root, 'big'), 2 ** 36);
    const pool = new WorkerPool(WORKER, 2);
    const big = task(join(root, 'big'), root);
    const open = [1, 2, 3].map(() => pool.run(big, 2 ** 36));
    const reason = new Error('closed');
    const closed = pool.close(reason);
    for (const each of await Promise.allSettled(open)) expect(each).toMatchObject({ reason });
    await closed;
    await expect(pool.run(big, 1)).rejects.toBe(reason);
  });

  it('loses the files of a thread that ends; no further thread is tried after two did', async () => {
    const dying = new URL('data:text/javascript,setTimeout(() => process.exit(0), 20)');
    const pool = new WorkerPool(dying, 2);
    const jobs = ['a', 'b', 'c'].map((name) => pool.run(task(name, '/'), 2 << 20));
    for (const each of await Promise.allSettled(jobs)) {
      expect(each).toMatchObject({ reason: expect.any(WorkerLost) as unknown });
    }
    expect(pool.isLost).toBe(true);
  });

  it('loses every file at once when the system starts no thread', async () => {
    const pool = new WorkerPool(new URL('https://example.org/no-worker.js'), 2);
    await expect(pool.run(task('a', '/'), 1)).rejects.toBeInstanceOf(WorkerLost);
    expect(pool.isLost).toBe(true);
  });

  it('does not keep the process alive when it was not closed', () => {
    const root = tempFolder();
    writeFileSync(join(root, 'f'), Buffer.alloc(17 << 20));
    const host = new URL('../../../packages/host/dist/index.js', import.meta.url).href;
    const script = `
      import { openFolder } from ${JSON.stringify(host)};
      const folder = await openFolder(process.argv[1], { jobs: 2 });
      const { size } = await folder.digestFile('f', ['crc32']);
      console.log(size);`;
    const out = execFileSync(process.execPath, ['--input-type=module', '--eval', script, root], {
      encoding: 'utf8',
      timeout: 60_000,
    });
    expect(out.trim()).toBe(String(17 << 20));
  });
});
