import { describe, expect, it } from 'vitest';
import { digestStream, hashWasmEngine } from '@firmtally/core';

/** What the pass that takes digests has seen of bytes that come as one chunk, from any address in memory. */
async function fillOf(bytes: Uint8Array): Promise<number | undefined> {
  // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
  const stream = (async function* () {
    yield bytes;
  })();
  return (await digestStream(stream, ['crc32'], hashWasmEngine)).fill;
}

describe('bytes that are all the same', () => {
  it('are told at any address and length, and one other byte anywhere is seen', async () => {
    for (const value of [0x00, 0xff]) {
      const memory = new Uint8Array(64).fill(value);
      for (let start = 0; start < 5; start++) {
        for (let length = 1; length < 20; length++) {
          const bytes = memory.subarray(start, start + length);
          expect(await fillOf(bytes)).toBe(value);
          for (const at of [0, length >> 1, length - 1]) {
            bytes[at] = 0x5a;
            expect(await fillOf(bytes)).toBeUndefined();
            bytes[at] = value;
          }
        }
      }
    }
  });

  it('are only 00 and FF, as an unwritten chip has them; no bytes are none', async () => {
    expect(await fillOf(new Uint8Array(100).fill(0x55))).toBeUndefined();
    expect(await fillOf(new Uint8Array())).toBeUndefined();
  });
});
