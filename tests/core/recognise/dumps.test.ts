import type { Dump } from '@firmtally/core';
import { matchDump } from '@firmtally/core/internal';
import { describe, expect, it } from 'vitest';
import { dumpOf } from '../../support/entries.js';
import { digestsOf } from '../../support/memory-folder.js';

const bytes = Buffer.from('invented content');
const found = { size: bytes.length, digests: digestsOf(bytes, ['crc32', 'md5', 'sha1']) };

describe('matchDump', () => {
  const dump = dumpOf(bytes);
  it.each<[string, Dump, boolean]>([
    ['all equal', dump, true],
    ['no size given', { ...dump, size: null }, true],
    ['another size', { ...dump, size: 1 }, false],
    ['no digest given', { ...dump, digests: {} }, false],
    ['only one digest given', { ...dump, digests: { md5: found.digests.md5 ?? '' } }, true],
    ['one of the digests differs', { ...dump, digests: { ...dump.digests, sha1: 'x' } }, false],
    ['a digest that was not taken', { ...dump, digests: { sha256: 'x' } }, false],
  ])('%s', (_, one, matches) => {
    expect(matchDump(found, [one])).toBe(matches ? one : null);
  });

  it('gives the first in listed order', () => {
    const second = { ...dump, label: 'second' };
    const wrong = { ...dump, size: 0 };
    expect(matchDump(found, [wrong, second, dump])).toBe(second);
    expect(matchDump(found, [])).toBeNull();
  });
});
