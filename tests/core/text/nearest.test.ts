import { nearestName } from '@firmtally/core/internal';
import fc from 'fast-check';
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

/** Damerau-Levenshtein distance (optimal string alignment), the whole table as the textbooks have it. */
function distance(a: string, b: string): number {
  const d = Array.from({ length: a.length + 1 }, (_, i) =>
    Array.from({ length: b.length + 1 }, (__, j) => (i === 0 ? j : j === 0 ? i : 0)),
  );
  const cell = (i: number, j: number): number => d[i]?.[j] ?? NaN;
  for (let i = 1; i <= a.length; i++) {
    for (let j = 1; j <= b.length; j++) {
      let value = Math.min(cell(i - 1, j), cell(i, j - 1)) + 1;
      value = Math.min(value, cell(i - 1, j - 1) + (a[i - 1] === b[j - 1] ? 0 : 1));
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        value = Math.min(value, cell(i - 2, j - 2) + 1);
      (d[i] ?? [])[j] = value;
    }
  }
  return cell(a.length, b.length);
}

it('the nearest name is as near as the whole table says', () => {
  // Few letters, so that slips and swaps are common; more than 12, so that four slips are allowed.
  const name = fc.string({ unit: fc.constantFrom('a', 'b', 'c'), minLength: 12, maxLength: 24 });
  fc.assert(
    fc.property(name, name, (written, other) => {
      const far = distance(`x${written}`, `x${other}`);
      const near = nearestName(`x${written}`, [`x${other}`]);
      expect(near).toBe(far <= 4 && far > 0 ? `x${other}` : null);
    }),
    { seed: 20_261, numRuns: 2000 },
  );
});
