import { createHash } from 'node:crypto';
import * as zlib from 'node:zlib';
import {
  ALGORITHMS,
  digestBytes,
  digestStream,
  hashWasmEngine,
  type ByteStream,
  type Digests,
} from '@firmtally/core';
import { nativeEngine } from '@firmtally/host/internal';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';

/** Both engines against node:crypto (OpenSSL) and node:zlib's crc32, which share no code with hash-wasm. */
const crc32 = (zlib as { crc32?: (data: Uint8Array) => number }).crc32;

function reference(bytes: Uint8Array): Digests {
  const hex = (name: string): string => createHash(name).update(bytes).digest('hex');
  return {
    ...(crc32 === undefined ? {} : { crc32: crc32(bytes).toString(16).padStart(8, '0') }),
    md5: hex('md5'),
    sha1: hex('sha1'),
    sha256: hex('sha256'),
  };
}

/** MD5 and SHA pad at 55/56 of 64 bytes; hash-wasm copies in pieces of 16 KiB; digestStream cuts at 1 MiB. */
const SIZES = [
  0, 1, 54, 55, 56, 57, 63, 64, 65, 119, 120, 127, 128, 129, 16_383, 16_384, 16_385, 32_768, 65_536,
  1_048_575, 1_048_576, 1_048_577,
];

/** Bytes that repeat nowhere in short: a fixed linear congruential sequence. */
function pattern(size: number): Uint8Array {
  const bytes = new Uint8Array(size);
  let state = 1;
  for (let index = 0; index < size; index++) {
    state = (Math.imul(state, 1_103_515_245) + 12_345) >>> 0;
    bytes[index] = state >>> 16;
  }
  return bytes;
}

// eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
async function* inChunks(bytes: Uint8Array, sizes: readonly number[]): ByteStream {
  let start = 0;
  for (let turn = 0; start < bytes.length; turn++) {
    const size = sizes[turn % sizes.length] ?? 1;
    yield bytes.subarray(start, start + size);
    start += size;
  }
}

describe.each([hashWasmEngine, nativeEngine])('$name engine', (engine) => {
  it.each(SIZES)('%i bytes in one piece', async (size) => {
    const bytes = pattern(size);
    expect(await digestBytes(bytes, ALGORITHMS, engine)).toMatchObject(reference(bytes));
  });

  it('any bytes in any chunks', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.uint8Array({ maxLength: 40_000, size: 'max' }),
        fc.array(fc.integer({ min: 1, max: 20_000 }), { minLength: 1, maxLength: 6 }),
        async (bytes, sizes) => {
          const { size, digests } = await digestStream(inChunks(bytes, sizes), ALGORITHMS, engine);
          expect(size).toBe(bytes.length);
          expect(digests).toMatchObject(reference(bytes));
        },
      ),
      { numRuns: 60, seed: 1321 },
    );
  });

  it('takes a chunk that is a view into a bigger buffer', async () => {
    const bytes = pattern(1000);
    const view = bytes.subarray(17, 517);
    expect(await digestBytes(view, ALGORITHMS, engine)).toMatchObject(reference(view.slice()));
  });
});
