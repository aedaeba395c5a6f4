import { ReadError, type FileDigester, type StreamDigests } from '@firmtally/core';
import { checkedDigester, checkedDigestStream } from '@firmtally/core/internal';
import { describe, expect, it } from 'vitest';

const MD5 = '900150983cd24fb0d6963f7d28e17f72'; // RFC 1321, A.5: "abc"

const giving = (found: unknown): FileDigester => ({
  digestFile: () => Promise.resolve(found as StreamDigests),
});

describe('checkedDigester', () => {
  it('gives what a sound digester gives, and its ReadErrors', async () => {
    const found = { size: 3, digests: { md5: MD5, crc32: '352441c2' } };
    expect(await checkedDigester(giving(found)).digestFile('a', ['md5'])).toBe(found);
    const error = new ReadError('vanished', 'gone');
    const failing: FileDigester = { digestFile: () => Promise.reject(error) };
    await expect(checkedDigester(failing).digestFile('a', ['md5'])).rejects.toBe(error);
  });

  it.each([
    ['capitals', { size: 3, digests: { md5: MD5.toUpperCase() } }],
    ['wrong length', { size: 3, digests: { md5: MD5.slice(1) } }],
    ['no hex', { size: 3, digests: { md5: `${MD5.slice(1)}g` } }],
    ['none at all', { size: 3, digests: {} }],
    ['bytes', { size: 3, digests: { md5: new Uint8Array(16) } }],
    ['no size', { digests: { md5: MD5 } }],
    ['a size below nothing', { size: -1, digests: { md5: MD5 } }],
    ['nothing', undefined],
  ])('refuses %s, naming the path', async (_, found) => {
    const digester = checkedDigester(giving(found));
    await expect(digester.digestFile('fw/a.bin', ['md5'])).rejects.toMatchObject({
      code: 'engine-invalid',
      message: expect.stringMatching(/^fw\/a\.bin: the digest engine failed: /u) as string,
    });
    const stream = checkedDigestStream(() => Promise.resolve(found as StreamDigests));
    await expect(stream((async function* () {})(), ['md5'])).rejects.toMatchObject({
      code: 'engine-invalid',
    });
  });

  it('names the path when the engine throws something of its own', async () => {
    const cause = new RangeError('out of memory');
    const failing: FileDigester = { digestFile: () => Promise.reject(cause) };
    await expect(checkedDigester(failing).digestFile('fw/a.bin', ['md5'])).rejects.toMatchObject({
      message: 'fw/a.bin: the digest engine failed: out of memory',
      cause,
    });
  });

  it("leaves a callback's error and a signal's reason as they are", async () => {
    const boom = new Error('thrown by the callback');
    const telling: FileDigester = {
      digestFile: (_path, _algorithms, options) =>
        Promise.resolve().then(() => {
          options?.onBytes?.(3);
          return { size: 3, digests: { md5: MD5 } };
        }),
    };
    const onBytes = (): void => {
      throw boom;
    };
    const digester = checkedDigester(telling);
    await expect(digester.digestFile('a', ['md5'], { onBytes })).rejects.toBe(boom);
    const controller = new AbortController();
    const silent: FileDigester = { digestFile: () => new Promise(() => undefined) };
    const waiting = checkedDigester(silent, controller.signal).digestFile('a', ['md5']);
    controller.abort(boom);
    await expect(waiting).rejects.toBe(boom);
  });
});
