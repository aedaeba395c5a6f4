import type { Digests } from '../../bytes/digests.js';
import type { LeftOutReason } from '../../facts/left-out.js';
import type { Note } from '../note.js';

/**
 * What one row of a list says of one file. All of it is the list's word: no
 * byte of any file was read for it.
 */
export interface ListRow {
  /** Line in the list, from 1. */
  readonly line: number;
  /** '/'-joined, relative, fit for a manifest. */
  readonly path: string;
  /** Bytes; null when the row gives none, or only a rounded one. */
  readonly size: number | null;
  /** Lower-case hex; at least one. */
  readonly digests: Digests;
  /** Revision, region and the like, as the list has them; null when it gives none. */
  readonly label: string | null;
  /** As the list names it. */
  readonly system: string | null;
  /** Null when the list does not say. */
  readonly optional: boolean | null;
}

/** Lines of which nothing was used. */
export interface UnusedLines {
  /** First and last line, from 1. */
  readonly line: number;
  readonly endLine: number;
  readonly reason: LeftOutReason;
  /** How the first of them starts, as it is in the list. */
  readonly text: string;
}

/** Something of a line that was used, or of a table, that was left out. */
export interface ListNote extends Note {
  /** Line in the list, from 1. */
  readonly line: number;
}

/**
 * A list as it was read: every line is in `rows` or in `unused`, but for empty
 * lines, ruled lines, comments, and the headers of tables.
 */
export interface ListReading {
  /** In the order of their lines. */
  readonly rows: readonly ListRow[];
  /** In the order of their lines; neighbours with one reason are one item. */
  readonly unused: readonly UnusedLines[];
  readonly notes: readonly ListNote[];
}

/** What came of one line: a row, or why there is none. */
export type LineOutcome =
  { readonly row: Omit<ListRow, 'line'>; readonly notes: readonly Note[] } | LeftOutReason;

/** A row of a name and what describes it, without columns of a table. */
export function plainRow(
  path: string,
  digests: Digests,
  size: number | null = null,
  notes: readonly Note[] = [],
  optional: boolean | null = null,
): LineOutcome {
  return { row: { path, size, digests, label: null, system: null, optional }, notes };
}
