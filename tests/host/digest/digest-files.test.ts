import { mkdirSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { checkSums, digestFiles } from '@firmtally/host';
import { describe, expect, it } from 'vitest';
import type { DigestedFile, Fault, TaskProgress } from '@firmtally/core';
import { digestsOf } from '../../support/memory-folder.js';
import { tempFolder } from '../../support/temp.js';

function folderOfFiles(count: number): { cwd: string; names: string[] } {
  const cwd = tempFolder();
  const names = Array.from({ length: count }, (_, index) => `f${index}.bin`);
  for (const [index, name] of names.entries()) {
    writeFileSync(join(cwd, name), Buffer.alloc((index * 7919) % 40_000, index));
  }
  return { cwd, names };
}

async function* once(text: string): AsyncGenerator<Uint8Array> {
  await Promise.resolve();
  yield Buffer.from(text);
}

describe('digestFiles', () => {
  it('gives every file in the order given, however big, and tells each in that order', async () => {
    const { cwd, names } = folderOfFiles(200);
    const told: string[] = [];
    let running = 0;
    const document = await digestFiles(names, {
      cwd,
      algorithms: ['md5', 'crc32'],
      onFile: async ({ path }) => {
        expect(++running).toBe(1);
        await Promise.resolve();
        told.push(path);
        running--;
      },
    });
    expect(told).toEqual(names);
    expect(document.faults).toEqual([]);
    for (const [index, file] of document.files.entries()) {
      const bytes = Buffer.alloc((index * 7919) % 40_000, index);
      expect(file).toEqual({
        path: names[index],
        size: bytes.length,
        ...digestsOf(bytes, ['crc32', 'md5']),
      });
    }
  });

  it('tells how far it is, up to all of it', async () => {
    const { cwd, names } = folderOfFiles(20);
    const told: TaskProgress[] = [];
    const { files } = await digestFiles(names, { cwd, onProgress: (each) => told.push(each) });
    const bytes = files.reduce((sum, { size }) => sum + size, 0);
    expect(told[0]).toMatchObject({ phase: 'read', files: 0, totalFiles: 20, totalBytes: bytes });
    expect(told.at(-1)).toMatchObject({ files: 20, totalFiles: 20, bytes, totalBytes: bytes });
  });

  it('has a fault for what cannot be read; standard input only where it is given', async () => {
    const { cwd } = folderOfFiles(1);
    mkdirSync(join(cwd, 'folder'));
    writeFileSync(join(cwd, '-'), 'a file of that name');
    const rows: (DigestedFile | Fault)[] = [];
    const paths = ['nope', '-', 'folder'];
    const options = { cwd, algorithms: ['crc32'] as const };
    const onFile = (row: DigestedFile | Fault): void => void rows.push(row);
    const piped = await digestFiles(paths, { ...options, stdin: once('abc'), onFile });
    expect(piped.files).toEqual([{ path: '-', size: 3, crc32: '352441c2' }]);
    expect(piped.faults.map(({ path, code }) => [path, code])).toEqual([
      ['nope', 'vanished'],
      ['folder', 'not-a-file'],
    ]);
    expect(rows.map(({ path }) => path)).toEqual(paths);
    const unpiped = await digestFiles(paths, options);
    expect(unpiped.files).toMatchObject([{ path: '-', size: 19 }]);
  });

  it.each(['onProgress', 'onFile'] as const)('rejects with what %s throws', async (name) => {
    const { cwd, names } = folderOfFiles(5);
    const boom = new Error('thrown by the callback');
    const callback = (): void => {
      throw boom;
    };
    await expect(digestFiles(names, { cwd, [name]: callback })).rejects.toBe(boom);
    const throwing = digestFiles(['-'], { cwd, stdin: once('abc'), [name]: callback });
    await expect(throwing).rejects.toBe(boom);
  });

  it('rejects with the reason of its signal: before, half-way, and while standard input is silent', async () => {
    const { cwd } = folderOfFiles(1);
    writeFileSync(join(cwd, 'endless'), '');
    truncateSync(join(cwd, 'endless'), 2 ** 36);
    const reason = new Error('enough');
    await expect(digestFiles(['endless'], { cwd, signal: AbortSignal.abort(reason) })).rejects.toBe(
      reason,
    );
    const controller = new AbortController();
    const { signal } = controller;
    const silent: AsyncIterable<Uint8Array> = {
      [Symbol.asyncIterator]: () => ({ next: () => new Promise(() => undefined) }),
    };
    const running = [
      digestFiles(['endless', 'f0.bin'], { cwd, signal }),
      digestFiles(['-'], { cwd, signal, stdin: silent }),
      checkSums(['-'], { cwd, signal, stdin: silent }),
    ];
    await wait(20);
    controller.abort(reason);
    for (const each of await Promise.allSettled(running)) expect(each).toMatchObject({ reason });
  });
});

describe('checkSums', () => {
  it('judges each line, and says of each file once what was found', async () => {
    const cwd = tempFolder();
    writeFileSync(join(cwd, 'abc'), 'abc');
    // RFC 1321 A.5 and zlib's crc32("abc").
    const md5 = '900150983cd24fb0d6963f7d28e17f72';
    const lines = [`${md5}  abc`, `352441c3  abc`, `${md5}  gone`, 'hello'];
    writeFileSync(join(cwd, 'SUMS'), lines.join('\n'));
    const document = await checkSums(['SUMS'], { cwd });
    expect(document.files).toEqual([{ path: 'abc', size: 3, crc32: '352441c2', md5 }]);
    const [list] = document.lists;
    expect(list?.lines.map(({ status, found }) => [status, found])).toEqual([
      ['match', md5],
      ['mismatch', '352441c2'],
      ['missing', null],
    ]);
    expect(document.totals).toEqual({
      match: 1,
      mismatch: 1,
      missing: 1,
      unreadable: 0,
      malformed: 1,
    });
    await expect(checkSums(['nope'], { cwd })).rejects.toMatchObject({ code: 'sums-invalid' });
  });
});
