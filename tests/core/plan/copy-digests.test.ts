/** What a copy is checked by, so that no byte is read for a digest nobody needs. */
import { planPlacement } from '@firmtally/core';
import { expect, it } from 'vitest';
import { MemoryFolder, PLATFORM } from '../../support/memory-folder.js';

// Of "abc": CRC-32 by zlib (from memory), MD5 by RFC 1321, A.5, SHA-1 by RFC 3174, 7.3.
const CRC32 = '352441c2';
const MD5 = '900150983cd24fb0d6963f7d28e17f72';
const SHA1 = 'a9993e364706816aba3e25717850c26c9cd0d89d';

it.each([
  ['a CRC-32 alone is joined by SHA-1', `crc32: ${CRC32}`, { crc32: CRC32, sha1: SHA1 }],
  ['MD5 alone is joined by SHA-1', `md5: ${MD5}`, { md5: MD5, sha1: SHA1 }],
  ['SHA-1 is enough', `sha1: ${SHA1}`, { sha1: SHA1 }],
])('%s', async (_, digest, expected) => {
  const manifest = `firmtally: 1
firmware: {osprey-boot: {path: boot.bin, dumps: [{size: 3, ${digest}}]}}
systems: {osprey: {requires: [osprey-boot]}}
`;
  const pile = {
    name: 'pile',
    kind: 'folder',
    folder: new MemoryFolder({ other: 'abc' }),
  } as const;
  const { plan } = await planPlacement(new MemoryFolder({}), [pile], {
    manifests: [{ path: 'm.yaml', bytes: new TextEncoder().encode(manifest) }],
    platform: PLATFORM,
  });
  expect(plan.steps).toMatchObject([{ kind: 'copy', to: 'boot.bin', digests: expected }]);
  expect(Object.keys((plan.steps[0] as { digests: object }).digests)).toEqual(
    Object.keys(expected),
  );
});
