/** Every diagnosis reads and hashes a bounded number of bytes, whatever the file: counted, not timed. */
import type { RandomAccess, StreamDigests } from '@firmtally/core';
import {
  diagnoseFile,
  DIAGNOSIS_LIMITS,
  KnownDumps,
  type DiagnosisLimits,
} from '@firmtally/core/internal';
import { zipReader } from '@firmtally/host/internal';
import { describe, expect, it } from 'vitest';
import { countingEngine, dumpOf, firmwareOf, noise } from './support.js';

const osprey = firmwareOf('osprey', [
  dumpOf(noise(4096, 1)),
  dumpOf(noise(99, 2), { sized: false }),
]);
const chips = firmwareOf('chips', [], [{ path: 'k1', dumps: [dumpOf(noise(100, 3))] }]);

/** A file of any size that begins with `head` and goes on with zeros; it counts what is read of it. */
function countedFile(
  size: number,
  head: Uint8Array,
): RandomAccess & { read: RandomAccess['read']; count: () => number } {
  let count = 0;
  return {
    size,
    count: () => count,
    // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
    async *read({ start, end }) {
      for (let at = start; at < Math.min(end, size); at += 1 << 20) {
        const chunk = new Uint8Array(Math.min(1 << 20, Math.min(end, size) - at));
        if (at < head.length) chunk.set(head.subarray(at, at + chunk.length));
        count += chunk.length;
        yield chunk;
      }
    },
  };
}

const HEADS: Readonly<Record<string, Uint8Array>> = {
  zeros: new Uint8Array(),
  FF: new Uint8Array(1024).fill(0xff),
  gzip: Buffer.from([0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 3]),
  ZIP: Buffer.from('PK\u0003\u0004', 'latin1'),
  'a web page': Buffer.from('<!doctype html>'),
  noise: noise(4096, 7),
};

async function measure(
  content: RandomAccess & { count: () => number },
  firmware: typeof osprey,
  options: { limits?: Partial<DiagnosisLimits>; found?: StreamDigests } = {},
): Promise<{ kind: string; read: number; hashed: number; passes: number }> {
  const { engine, passes, bytes } = countingEngine();
  const { kind } = await diagnoseFile({
    content,
    firmware,
    known: new KnownDumps([osprey, chips]),
    platform: { engine, archives: zipReader },
    ...options,
  });
  return { kind, read: content.count(), hashed: bytes(), passes: passes() };
}

describe.each(Object.entries(HEADS))('a file that begins as %s does', (_, head) => {
  it.each([
    ['a dump', osprey],
    ['a ZIP', chips],
  ])(
    'of 8 GiB, where %s belongs: its first bytes and where a ZIP ends',
    async (_name, firmware) => {
      const found = { size: 8 * 2 ** 30, digests: { crc32: '00000000', md5: '', sha1: '' } };
      const result = await measure(countedFile(8 * 2 ** 30, head), firmware, { found });
      expect(result.read).toBeLessThan(1 << 20);
      expect(result.hashed).toBe(0);
    },
  );

  it('of as many bytes as are looked at whole: each a few times', async () => {
    const wholeFileBytes = 256 << 10;
    const limits = { wholeFileBytes, hashedBytes: 4 << 20, inflatedBytes: 256 << 10 };
    for (const firmware of [osprey, chips]) {
      const result = await measure(countedFile(wholeFileBytes, head), firmware, { limits });
      expect(result.read).toBeLessThan(8 * wholeFileBytes);
      // Both the quickest digest and the rest of them are taken of what passes the first.
      expect(result.hashed).toBeLessThanOrEqual(2 * limits.hashedBytes);
      expect(result.passes).toBeLessThanOrEqual(2 * DIAGNOSIS_LIMITS.hashPasses);
    }
  });
});

it('what the pass that took the digests has seen to be blank is not read again, however large', async () => {
  const content = countedFile(8 * 2 ** 30, new Uint8Array());
  const found = { size: content.size, digests: { crc32: '00000000', md5: '', sha1: '' }, fill: 0 };
  const { kind, read } = await measure(content, firmwareOf('osprey', [dumpOf(noise(64, 1))]), {
    found,
  });
  expect(kind).toBe('blank');
  expect(read).toBeLessThan(1 << 20);
});
