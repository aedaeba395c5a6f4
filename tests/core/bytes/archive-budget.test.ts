import { gzipSync } from 'node:zlib';
import { memoryAccess } from '@firmtally/core';
import { ArchiveBudget, collect, withBudget } from '@firmtally/core/internal';
import { zipReader } from '@firmtally/host/internal';
import { describe, expect, it } from 'vitest';
import { makeZip } from '../../support/zip.js';

const zeros = (length: number): Uint8Array => new Uint8Array(length);

describe('withBudget', () => {
  it('counts what is inflated in all archives together', async () => {
    const inner = makeZip([{ path: 'deep', bytes: zeros(60_000), deflate: true }]);
    const outer = makeZip([{ path: 'in.zip', bytes: inner, deflate: true }]);
    const budget = new ArchiveBudget({ bytes: 100_000, members: 10 });
    const archives = withBudget(zipReader, budget);
    const openInner = async (): Promise<Uint8Array | null> => {
      const first = await archives.open(memoryAccess(outer));
      const [zip] = first.members;
      if (zip === undefined) return expect.fail('it has one member');
      const bytes = await collect(first.read(zip), 1 << 20);
      const second = await archives.open(memoryAccess(bytes ?? expect.fail('it is small')));
      const [deep] = second.members;
      return deep === undefined ? null : await collect(second.read(deep), 1 << 20);
    };
    expect((await openInner())?.length).toBe(60_000);
    expect(budget.bytesLeft).toBe(40_000 - inner.length);
    await expect(openInner()).rejects.toMatchObject({
      code: 'limit-exceeded',
      message: 'what is packed in it is more than 100000 bytes in all; the rest is not read',
    });
  });

  it('counts members of all archives together', async () => {
    const zip = makeZip(['a', 'b', 'c'].map((path) => ({ path, bytes: zeros(1) })));
    const archives = withBudget(zipReader, new ArchiveBudget({ bytes: 100, members: 5 }));
    await archives.open(memoryAccess(zip));
    await expect(archives.open(memoryAccess(zip))).rejects.toMatchObject({
      code: 'limit-exceeded',
    });
  });

  it('counts gzip too, and inflates no more of it than is left', async () => {
    const gz = gzipSync(zeros(60_000));
    const budget = new ArchiveBudget({ bytes: 100_000, members: 5 });
    const reader = withBudget(zipReader, budget);
    const gunzip = reader.gunzip?.bind(reader);
    if (gunzip === undefined) return expect.fail('the reader has gunzip');
    const source = (): AsyncIterable<Uint8Array> =>
      memoryAccess(gz).read({ start: 0, end: gz.length });
    expect(await gunzip(source(), 1 << 20)).toHaveLength(60_000);
    // The caller's own limit is no trouble with the budget.
    expect(await gunzip(source(), 1000)).toBe('too-large');
    expect(budget.bytesLeft).toBe(39_000);
    await expect(gunzip(source(), 1 << 20)).rejects.toMatchObject({ code: 'limit-exceeded' });
  });
});
