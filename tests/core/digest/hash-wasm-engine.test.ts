import {
  ALGORITHMS,
  digestBytes,
  digestStream,
  hashWasmEngine,
  type ByteStream,
} from '@firmtally/core';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { digestsOf } from '../../support/memory-folder.js';

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

  it('keeps any streams apart, cut anywhere and in any order, as node:crypto has them', async () => {
    // 55/56/64: where MD5 and SHA-1 pad (RFC 1321, 3.1); 16 KiB: the library's own buffer.
    const cut = fc.constantFrom(0, 1, 55, 56, 63, 64, 65, 16_383, 16_384, 16_385, 40_000);
    const step = fc.record({ stream: fc.nat(3), length: cut });
    await fc.assert(
      fc.asyncProperty(fc.array(step, { maxLength: 24 }), async (steps) => {
        const hashers = await Promise.all(
          Array.from({ length: 4 }, () => hashWasmEngine.create(ALGORITHMS)),
        );
        const fed: Uint8Array[][] = [[], [], [], []];
        for (const [turn, { stream, length }] of steps.entries()) {
          const chunk = new Uint8Array(length).fill(turn + 1);
          hashers[stream]?.update(chunk);
          fed[stream]?.push(chunk);
        }
        for (const [stream, hasher] of hashers.entries()) {
          expect(hasher.digest()).toEqual(digestsOf(Buffer.concat(fed[stream] ?? []), ALGORITHMS));
        }
      }),
      { numRuns: 60 },
    );
  });

  it('lets a thousand streams be begun and left, and one more run', async () => {
    for (let index = 0; index < 1000; index++) {
      (await hashWasmEngine.create(ALGORITHMS)).update(new Uint8Array(70));
    }
    const bytes = new Uint8Array(100_000).fill(7);
    expect(await digestBytes(bytes, ALGORITHMS, hashWasmEngine)).toEqual(
      digestsOf(bytes, ALGORITHMS),
    );
  });

  it('refuses a hasher that has ended', async () => {
    const hasher = await hashWasmEngine.create(['md5']);
    hasher.digest();
    expect(() => hasher.update(new Uint8Array(1))).toThrow();
    expect(() => hasher.digest()).toThrow();
  });
});

describe('digestStream', () => {
  it('rejects with what the callback throws, or the reason of its signal, and closes the stream', async () => {
    let closed = 0;
    // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
    async function* endless(): ByteStream {
      try {
        for (;;) yield new Uint8Array(1000);
      } finally {
        closed++;
      }
    }
    const boom = new Error('thrown by the callback');
    const onBytes = (): void => {
      throw boom;
    };
    await expect(digestStream(endless(), ['md5'], hashWasmEngine, { onBytes })).rejects.toBe(boom);
    const controller = new AbortController();
    const { signal } = controller;
    const running = digestStream(endless(), ['md5'], hashWasmEngine, { signal });
    setTimeout(() => controller.abort(boom), 10);
    await expect(running).rejects.toBe(boom);
    expect(closed).toBe(2);
  });

  it('lets timers run during long work, and tells the bytes done', async () => {
    const chunk = new Uint8Array(48 << 20);
    let ticks = 0;
    const timer = setInterval(() => (ticks += 1), 1);
    let told = 0;
    // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
    async function* once(): ByteStream {
      yield chunk;
    }
    await digestStream(once(), ALGORITHMS, hashWasmEngine, {
      onBytes: (count) => (told += count),
    });
    clearInterval(timer);
    expect(ticks).toBeGreaterThan(0);
    expect(told).toBe(chunk.length);
  });
});
