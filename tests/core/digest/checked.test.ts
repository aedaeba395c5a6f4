import {
  digestBytes,
  ReadError,
  type ContentSource,
  type DigestEngine,
  type Digests,
  type StreamDigests,
} from '@firmtally/core';
import { checkedContent, checkedPlatform } from '@firmtally/core/internal';
import { describe, expect, it } from 'vitest';

const MD5 = '900150983cd24fb0d6963f7d28e17f72'; // RFC 1321, A.5: "abc"

type DigestFile = NonNullable<ContentSource['digestFile']>;

const checked = (digestFile: DigestFile, signal?: AbortSignal): DigestFile => {
  const open: ContentSource['open'] = () => expect.fail('it is not read');
  const source = checkedContent({ open, digestFile }, signal);
  return (...args) => source.digestFile?.(...args) ?? expect.fail();
};
const giving =
  (found: unknown): DigestFile =>
  () =>
    Promise.resolve(found as StreamDigests);

describe('what a source digests itself', () => {
  it('gives what a sound digester gives, and its ReadErrors', async () => {
    const found = { size: 3, digests: { md5: MD5, crc32: '352441c2' } };
    expect(await checked(giving(found))('a', ['md5'])).toBe(found);
    const error = new ReadError('vanished', 'gone');
    await expect(checked(() => Promise.reject(error))('a', ['md5'])).rejects.toBe(error);
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
    await expect(checked(giving(found))('fw/a.bin', ['md5'])).rejects.toMatchObject({
      code: 'engine-invalid',
      message: expect.stringMatching(/^fw\/a\.bin: the digest engine failed: /u) as string,
    });
  });

  it('names the path when the engine throws something of its own', async () => {
    const cause = new RangeError('out of memory');
    await expect(checked(() => Promise.reject(cause))('fw/a.bin', ['md5'])).rejects.toMatchObject({
      message: 'fw/a.bin: the digest engine failed: out of memory',
      cause,
    });
  });

  it("leaves a callback's error and a signal's reason as they are", async () => {
    const boom = new Error('thrown by the callback');
    const telling: DigestFile = (_path, _algorithms, options) =>
      Promise.resolve().then(() => {
        options?.onBytes?.(3);
        return { size: 3, digests: { md5: MD5 } };
      });
    const onBytes = (): void => {
      throw boom;
    };
    await expect(checked(telling)('a', ['md5'], { onBytes })).rejects.toBe(boom);
    const controller = new AbortController();
    const waiting = checked(() => new Promise(() => undefined), controller.signal)('a', ['md5']);
    controller.abort(boom);
    await expect(waiting).rejects.toBe(boom);
  });
});

describe('an engine', () => {
  const engineOf = (digest: () => unknown): DigestEngine => ({
    name: 'odd',
    create: () => Promise.resolve({ update: () => undefined, digest: () => digest() as Digests }),
  });
  const hashed = (engine: DigestEngine): Promise<Digests> =>
    digestBytes(Buffer.from('abc'), ['md5'], checkedPlatform({ engine, archives: null }).engine);

  it.each([
    ['capitals', { md5: MD5.toUpperCase() }],
    ['wrong length', { md5: MD5.slice(1) }],
    ['none at all', {}],
    ['nothing', undefined],
  ])('that gives %s is refused', async (_, digests) => {
    await expect(hashed(engineOf(() => digests))).rejects.toMatchObject({
      code: 'engine-invalid',
      message: expect.stringMatching(/^the digest engine failed: /u) as string,
    });
    expect(await hashed(engineOf(() => ({ md5: MD5 })))).toEqual({ md5: MD5 });
  });

  it('that throws something of its own is told of', async () => {
    const cause = new RangeError('out of memory');
    const failing = (): Promise<never> => Promise.reject(cause);
    await expect(hashed({ name: 'odd', create: failing })).rejects.toMatchObject({
      message: 'the digest engine failed: out of memory',
      cause,
    });
  });

  it('that does not answer ends with the signal', async () => {
    const controller = new AbortController();
    const silent: DigestEngine = { name: 'odd', create: () => new Promise(() => undefined) };
    const { engine } = checkedPlatform({ engine: silent, archives: null }, controller.signal);
    const waiting = digestBytes(new Uint8Array(), ['md5'], engine);
    const reason = new Error('enough');
    controller.abort(reason);
    await expect(waiting).rejects.toBe(reason);
  });
});
