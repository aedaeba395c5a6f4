/**
 * The candidate closest to what was written, for "did you mean": smallest
 * Damerau-Levenshtein distance (optimal string alignment), at most a third of
 * the longer name, and at most 4. Names of up to four characters have to be
 * one slip apart, and more slips than one the first letter in common: other
 * short names are near each other by chance. Null when none is close.
 */
export function nearestName(written: string, candidates: Iterable<string>): string | null {
  let best: string | null = null;
  let bestDistance = Infinity;
  const from = written.slice(0, MAX_LENGTH).toLowerCase();
  for (const candidate of candidates) {
    if (candidate === written) continue;
    if (Math.abs(from.length - candidate.length) > MOST_SLIPS) continue;
    const longer = Math.max(from.length, candidate.length);
    const to = candidate.toLowerCase();
    const limit =
      longer <= 4 || to[0] !== from[0] ? 1 : Math.min(MOST_SLIPS, Math.ceil(longer / 3));
    if (Math.abs(from.length - candidate.length) > limit) continue;
    const distance = editDistance(from, to, limit);
    if (distance <= limit && distance < bestDistance) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best;
}

const MOST_SLIPS = 4;

/** Names longer than this are compared by their beginning only. */
const MAX_LENGTH = 100;

/**
 * The distance when it is at most `limit`, else Infinity. Only cells that can
 * lie on such a path are filled in, so the cost is the length times the limit.
 */
function editDistance(a: string, b: string, limit: number): number {
  let [beforeLast, last, row] = ROWS;
  for (let j = 0; j <= b.length; j++) last[j] = j;
  for (let i = 1; i <= a.length; i++) {
    const from = Math.max(1, i - limit);
    const to = Math.min(b.length, i + limit);
    row[from - 1] = from === 1 ? i : FAR;
    let least = at(row, from - 1);
    for (let j = from; j <= to; j++) {
      const same = a.charCodeAt(i - 1) === b.charCodeAt(j - 1);
      let value = Math.min(at(last, j) + 1, at(row, j - 1) + 1, at(last, j - 1) + (same ? 0 : 1));
      const swapped =
        i > 1 &&
        j > 1 &&
        a.charCodeAt(i - 1) === b.charCodeAt(j - 2) &&
        a.charCodeAt(i - 2) === b.charCodeAt(j - 1);
      if (swapped) value = Math.min(value, at(beforeLast, j - 2) + 1);
      row[j] = value;
      least = Math.min(least, value);
    }
    // The next row reaches one further.
    row[to + 1] = FAR;
    // A swap reaches back two rows, by one.
    if (least > limit + 1) return Infinity;
    [beforeLast, last, row] = [last, row, beforeLast];
  }
  return at(last, b.length);
}

/** More than any distance that counts. */
const FAR = 0x7fff;

const ROW_LENGTH = MAX_LENGTH + MOST_SLIPS + 2;
type Rows = [Uint16Array, Uint16Array, Uint16Array];
/** Taken for every comparison, one after another. */
const ROWS: Rows = [
  new Uint16Array(ROW_LENGTH),
  new Uint16Array(ROW_LENGTH),
  new Uint16Array(ROW_LENGTH),
];

function at(row: Uint16Array, index: number): number {
  return row[index] ?? FAR;
}
