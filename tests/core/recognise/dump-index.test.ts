import { describe, expect, it } from 'vitest';
import { DumpIndex } from '@firmtally/core/internal';
import { digestsOf, dumpOf, firmwareOf, noise } from '../diagnose/support.js';

const bytes = noise(64, 1);
const found = { size: 64, digests: digestsOf(bytes, ['crc32', 'md5', 'sha1', 'sha256']) };
const other = noise(64, 2);

describe('DumpIndex', () => {
  it('needs the algorithms some dump gives, no others', () => {
    const index = new DumpIndex([
      firmwareOf('a', [dumpOf(bytes, { only: ['sha1'] })]),
      firmwareOf('b', [dumpOf(bytes, { only: ['crc32'] })]),
    ]);
    expect(index.algorithms).toEqual(['crc32', 'sha1']);
  });

  it('finds every entry, at most one dump each, and only where every digest given is equal', () => {
    const wrong = { ...dumpOf(bytes), digests: { ...dumpOf(bytes).digests, md5: '0'.repeat(32) } };
    const index = new DumpIndex([
      firmwareOf('a', [dumpOf(other), dumpOf(bytes, { label: 'one' }), dumpOf(bytes)]),
      firmwareOf('b', [dumpOf(bytes, { label: 'any', sized: false })]),
      firmwareOf('c', [wrong, dumpOf(other)]),
    ]);
    const matches = index.match(found).map(({ firmware, dump }) => [firmware.id, dump.label]);
    expect(matches).toEqual([
      ['a', 'one'],
      ['b', 'any'],
    ]);
    expect(
      index.match({ size: 63, digests: found.digests }).map(({ firmware }) => firmware.id),
    ).toEqual(['b']);
  });

  it('rules out by size, and by a CRC-32 known beforehand', () => {
    const index = new DumpIndex([firmwareOf('a', [dumpOf(bytes)])]);
    expect(index.couldMatch(64)).toBe(true);
    expect(index.couldMatch(65)).toBe(false);
    expect(index.couldMatch(64, found.digests.crc32)).toBe(true);
    expect(index.couldMatch(64, '00000000')).toBe(false);
    const sizeless = new DumpIndex([
      firmwareOf('a', [dumpOf(bytes, { sized: false, only: ['md5'] })]),
    ]);
    expect(sizeless.couldMatch(7, '00000000')).toBe(true);
    expect(sizeless.anySize).toBe(true);
    expect(sizeless.hasSize(64)).toBe(false);
  });
});
