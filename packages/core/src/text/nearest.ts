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
    const longer = Math.max(from.length, candidate.length);
    const to = candidate.toLowerCase();
    const limit = longer <= 4 || to[0] !== from[0] ? 1 : Math.min(4, Math.ceil(longer / 3));
    if (Math.abs(from.length - candidate.length) > limit) continue;
    const distance = editDistance(from, to);
    if (distance <= limit && distance < bestDistance) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best;
}

/** Names longer than this are compared by their beginning only. */
const MAX_LENGTH = 100;

function editDistance(a: string, b: string): number {
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, index) => index);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1];
      let value = Math.min(at(last, j) + 1, at(row, j - 1) + 1, at(last, j - 1) + (same ? 0 : 1));
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        value = Math.min(value, at(beforeLast, j - 2) + 1);
      }
      row.push(value);
    }
    beforeLast = last;
    last = row;
  }
  return at(last, b.length);
}

function at(row: readonly number[], index: number): number {
  return row[index] ?? Infinity;
}
