import {
  ALGORITHMS,
  digestBytes,
  digestStream,
  hashWasmEngine,
  type ByteStream,
} from '@firmtally/core';
import { describe, expect, it } from 'vitest';

const EMPTY_MD5 = 'd41d8cd98f00b204e9800998ecf8427e'; // RFC 1321, A.5

describe('hashWasmEngine', () => {
  it('gives only what was asked for, each once', async () => {
    const digests = await digestBytes(new Uint8Array(), ['md5', 'crc32', 'md5'], hashWasmEngine);
    expect(Object.entries(digests)).toEqual([
      ['crc32', '00000000'],
      ['md5', EMPTY_MD5],
    ]);
  });

  it('keeps 300 streams apart that all run at once', async () => {
    const streams = Array.from({ length: 300 }, (_, index) => new Uint8Array(100).fill(index));
    // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
    async function* bytewise(bytes: Uint8Array): ByteStream {
      for (let index = 0; index < bytes.length; index += 7) yield bytes.subarray(index, index + 7);
    }
    const together = await Promise.all(
      streams.map((bytes) => digestStream(bytewise(bytes), ALGORITHMS, hashWasmEngine)),
    );
    for (const [index, bytes] of streams.entries()) {
      expect(together[index]?.digests).toEqual(
        await digestBytes(bytes, ALGORITHMS, hashWasmEngine),
      );
    }
    expect(new Set(together.map(({ digests }) => digests.sha1)).size).toBe(256);
  });

  it('is not spoilt by streams that fail half-way', async () => {
    // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
    async function* failing(): ByteStream {
      yield new Uint8Array(10);
      throw new Error('pulled out');
    }
    for (let turn = 0; turn < 200; turn++) {
      await expect(digestStream(failing(), ['md5'], hashWasmEngine)).rejects.toThrow('pulled out');
    }
    expect(await digestBytes(new Uint8Array(), ['md5'], hashWasmEngine)).toEqual({
      md5: EMPTY_MD5,
    });
  });

  it('refuses a hasher that has ended', async () => {
    const hasher = await hashWasmEngine.create(['md5']);
    hasher.digest();
    expect(() => hasher.update(new Uint8Array(1))).toThrow();
    expect(() => hasher.digest()).toThrow();
  });
});

describe('digestStream', () => {
  it('lets timers run during long work, and tells the bytes done', async () => {
    const chunk = new Uint8Array(48 << 20);
    let ticks = 0;
    const timer = setInterval(() => (ticks += 1), 1);
    let told = 0;
    // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
    async function* once(): ByteStream {
      yield chunk;
    }
    await digestStream(once(), ALGORITHMS, hashWasmEngine, (count) => (told += count));
    clearInterval(timer);
    expect(ticks).toBeGreaterThan(0);
    expect(told).toBe(chunk.length);
  });
});
