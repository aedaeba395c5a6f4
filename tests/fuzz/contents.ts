import { createHash } from 'node:crypto';
import { crc32 } from 'node:zlib';
import type { Algorithm, Digests } from './expectation.js';
import type { Random } from './random.js';

/** node:crypto and node:zlib are the outside source the digests are checked against. */
export function digestsOf(bytes: Uint8Array): Required<Digests> {
  const hash = (name: string): string => createHash(name).update(bytes).digest('hex');
  return {
    crc32: crc32(bytes).toString(16).padStart(8, '0'),
    md5: hash('md5'),
    sha1: hash('sha1'),
    sha256: hash('sha256'),
  };
}

export const ALGORITHMS: readonly Algorithm[] = ['crc32', 'md5', 'sha1', 'sha256'];

/** Few sizes, so that files of an expected size with other bytes are common. */
const SIZES = [0, 1, 2, 7, 16, 16, 16, 55, 64, 100];

/** Contents that are all different, some of one size. */
export function makeContents(random: Random, count: number): Buffer[] {
  const contents = new Map<string, Buffer>();
  while (contents.size < count) {
    const bytes = random.bytes(random.pick(SIZES));
    if (random.chance(0.1)) bytes.fill(random.pick([0x00, 0xff]));
    contents.set(bytes.toString('latin1'), bytes);
    // The empty content alone cannot fill the pool.
    if (contents.size < count) contents.set(`${contents.size}`, random.bytes(17 + contents.size));
  }
  return [...contents.values()];
}
