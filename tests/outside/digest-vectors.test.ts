import { digestBytes, digestStream, hashWasmEngine, type ByteStream } from '@firmtally/core';
import { nativeEngine } from '@firmtally/host/internal';
import { describe, expect, it } from 'vitest';

/** Published test vectors, for both engines. */
const ENGINES = [hashWasmEngine, nativeEngine];
const ascii = (text: string): Uint8Array => new TextEncoder().encode(text);

/** RFC 1321, appendix A.5. */
const MD5_SUITE = [
  ['', 'd41d8cd98f00b204e9800998ecf8427e'],
  ['a', '0cc175b9c0f1b6a831c399e269772661'],
  ['abc', '900150983cd24fb0d6963f7d28e17f72'],
  ['message digest', 'f96b697d7cb7938d525a2f31aaf161d0'],
  ['abcdefghijklmnopqrstuvwxyz', 'c3fcd3d76192e4007dfb496cca67e13b'],
  [
    'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789',
    'd174ab98d277d9f5a5611c2c9f419d9f',
  ],
  ['1234567890'.repeat(8), '57edf4a22be3c955ac49da2e2107b67a'],
] as const;

/** The 448-bit message of FIPS 180's examples. */
const MESSAGE_448 = 'abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq';

/** RFC 3174, section 7.3: TEST1, TEST2, TEST4 (as in NIST's examples for FIPS 180-4). */
const SHA1_SUITE = [
  ['abc', 'a9993e364706816aba3e25717850c26c9cd0d89d'],
  [MESSAGE_448, '84983e441c3bd26ebaae4aa1f95129e5e54670f1'],
  ['01234567'.repeat(80), 'dea356a2cddd90c7a7ecedc5ebb563934f460452'],
] as const;

/** RFC 6234, section 8.5 (as in NIST's examples for FIPS 180-4). */
const SHA256_SUITE = [
  ['abc', 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'],
  [MESSAGE_448, '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1'],
] as const;

describe.each(ENGINES)('$name engine', (engine) => {
  it.each(MD5_SUITE)('MD5 of %j', async (text, md5) => {
    expect(await digestBytes(ascii(text), ['md5'], engine)).toEqual({ md5 });
  });

  it.each(SHA1_SUITE)('SHA-1 of %j', async (text, sha1) => {
    expect(await digestBytes(ascii(text), ['sha1'], engine)).toEqual({ sha1 });
  });

  it.each(SHA256_SUITE)('SHA-256 of %j', async (text, sha256) => {
    expect(await digestBytes(ascii(text), ['sha256'], engine)).toEqual({ sha256 });
  });

  it('CRC-32/ISO-HDLC check value (Catalogue of parametrised CRC algorithms)', async () => {
    expect(await digestBytes(ascii('123456789'), ['crc32'], engine)).toEqual({ crc32: 'cbf43926' });
  });

  it("a million times 'a' (RFC 3174 TEST3, RFC 6234 TEST3)", async () => {
    // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
    async function* million(): ByteStream {
      for (let left = 1_000_000; left > 0; left -= 999)
        yield ascii('a'.repeat(Math.min(left, 999)));
    }
    expect(await digestStream(million(), ['sha1', 'sha256'], engine)).toEqual({
      size: 1_000_000,
      digests: {
        sha1: '34aa973cd4c4daa4f61eeb2bdbad27316534016f',
        sha256: 'cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0',
      },
    });
  });
});
