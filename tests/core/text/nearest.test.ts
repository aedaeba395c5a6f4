import { nearestName } from '@firmtally/core';
import { describe, expect, it } from 'vitest';

describe('the nearest name', () => {
  it.each([
    ['titel', ['title', 'folder'], 'title'],
    ['irmware', ['firmware', 'systems'], 'firmware'],
    ['crc23', ['crc32', 'md5'], 'crc32'],
    ['ospreyboot', ['osprey-boot'], 'osprey-boot'],
    ['jsom', ['json', 'html'], 'json'],
    // Near by chance only.
    ['xml', ['html', 'json'], null],
    ['nope', ['one', 'two'], null],
    ['kestrel', ['petrel'], null],
  ])('%s', (written, names, nearest) => {
    expect(nearestName(written, names)).toBe(nearest);
  });
});
