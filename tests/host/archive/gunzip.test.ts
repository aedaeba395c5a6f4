/**
 * The host's gunzip against RFC 1952 data made by node:zlib, and against the
 * core's own, which uses the platform's DecompressionStream: the same answers.
 */
import { createHash } from 'node:crypto';
import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { memoryAccess, ReadError, type ByteStream } from '@firmtally/core';
import { zipReader } from '@firmtally/host/internal';
import { gunzip as coreGunzip } from '../../../packages/core/src/recognise/gunzip.js';

const LIMIT = 200_000;

// Invented; the host inflates the small one at once, the large one as a stream.
const small = Buffer.from('an invented firmware, over and over '.repeat(2000));
const large = Buffer.concat(
  Array.from({ length: 5000 }, (_, index) => createHash('sha256').update(`${index}`).digest()),
);

function streamOf(bytes: Uint8Array): ByteStream {
  return memoryAccess(bytes).read({ start: 0, end: bytes.length });
}

/** One buffer for all chunks, as a ByteStream may do. */
// eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
async function* inPieces(bytes: Uint8Array, size: number): ByteStream {
  const piece = new Uint8Array(size);
  for (let at = 0; at < bytes.length; at += size) {
    const part = bytes.subarray(at, at + size);
    piece.set(part);
    yield piece.subarray(0, part.length);
  }
}

describe.each([
  ['host, small data', zipReader, small],
  ['host, large data', zipReader, large],
  ['core, small data', null, small],
  ['core, large data', null, large],
] as const)('gunzip of the %s', (_name, archives, content) => {
  const packed = gzipSync(content);
  const gunzip = (source: ByteStream, limit = LIMIT): ReturnType<typeof coreGunzip> =>
    coreGunzip(source, limit, archives);

  it('inflates, whatever the pieces', async () => {
    for (const size of [97, 4096, packed.length]) {
      const inflated = Buffer.from((await gunzip(inPieces(packed, size))) as Uint8Array);
      expect(inflated.equals(content), `pieces of ${size} bytes`).toBe(true);
    }
    expect(await gunzip(streamOf(gzipSync('')))).toHaveLength(0);
  });

  it('stops at the limit, not before', async () => {
    expect(await gunzip(streamOf(packed), content.length)).toHaveLength(content.length);
    expect(await gunzip(streamOf(packed), content.length - 1)).toBe('too-large');
  });

  it.each([
    ['cut', packed.subarray(0, -9)],
    ['only its head', packed.subarray(0, 10)],
    ['with a wrong CRC-32', changed(packed, packed.length - 8)],
    ['with a wrong length', changed(packed, packed.length - 1)],
    ['no gzip', Buffer.from('nothing of the kind')],
  ])('calls a stream damaged that is %s', async (_what, bytes) => {
    expect(await gunzip(streamOf(bytes))).toBe('damaged');
  });

  it('passes on what the source throws', async () => {
    // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
    const failing = async function* (): ByteStream {
      yield packed.subarray(0, 20);
      throw new ReadError('vanished', 'the card was pulled');
    };
    await expect(gunzip(failing())).rejects.toMatchObject({ code: 'vanished' });
  });
});

function changed(bytes: Uint8Array, at: number): Uint8Array {
  const copy = new Uint8Array(bytes);
  copy[at] = (copy[at] ?? 0) ^ 1;
  return copy;
}
