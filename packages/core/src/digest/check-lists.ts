import type { Algorithm } from '../bytes/digests.js';
import type { DigestRow } from './digest-rows.js';
import { digestDocument, type CheckDocument, type CheckedLine } from './document.js';
import type { SumsEntry, SumsList } from './sums-parse.js';

/** A checksum list that was read. */
export interface ReadSums {
  /** As messages name it. */
  readonly path: string;
  readonly sums: SumsList;
}

/** A path that lists name, and every algorithm asked of it. */
export interface ListedFile {
  readonly path: string;
  readonly algorithms: readonly Algorithm[];
}

/** Each path once: a list may name a file more than once. */
export function listedFiles(lists: readonly ReadSums[]): ListedFile[] {
  const wanted = new Map<string, Algorithm[]>();
  for (const { path, algorithm } of lists.flatMap(({ sums }) => sums.entries)) {
    const algorithms = wanted.get(path);
    if (algorithms === undefined) wanted.set(path, [algorithm]);
    else if (!algorithms.includes(algorithm)) algorithms.push(algorithm);
  }
  return [...wanted].map(([path, algorithms]) => ({ path, algorithms }));
}

/**
 * Holds files against what lists say of them.
 *
 * @param rows what became of each of `files`, in their order
 */
export function checkLists(
  lists: readonly ReadSums[],
  files: readonly ListedFile[],
  rows: readonly DigestRow[],
): CheckDocument {
  const byPath = new Map(files.map(({ path }, index) => [path, rows[index]]));
  const checked = lists.map(({ path, sums }) => ({
    path,
    lines: sums.entries.map((entry) => checkedLine(entry, byPath.get(entry.path))),
    malformed: sums.problems,
  }));
  const totals = { match: 0, mismatch: 0, missing: 0, unreadable: 0, malformed: 0 };
  for (const { lines, malformed } of checked) {
    for (const { status } of lines) totals[status] += 1;
    totals.malformed += malformed.length;
  }
  return { ...digestDocument(rows), lists: checked, totals };
}

function checkedLine(entry: SumsEntry, row: DigestRow | undefined): CheckedLine {
  const { line, path, algorithm, digest: listed } = entry;
  if (row === undefined) throw new Error('a listed file was not digested');
  const about = { line, path, algorithm, listed };
  if ('code' in row) {
    return { ...about, found: null, status: row.code === 'vanished' ? 'missing' : 'unreadable' };
  }
  const found = row[algorithm] ?? null;
  return { ...about, found, status: found === listed ? 'match' : 'mismatch' };
}
