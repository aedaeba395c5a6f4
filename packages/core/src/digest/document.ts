import type { Fault } from '../bytes/source.js';
import { TOOL } from '../version.js';
import type { Algorithm, Digests, StreamDigests } from '../bytes/digests.js';
import type { SumsProblem } from './sums-parse.js';

/** One file that was digested. */
export interface DigestedFile extends Digests {
  /** As given, with '/' separators; `-` is standard input. */
  readonly path: string;
  /** Bytes. */
  readonly size: number;
}

/** How one line of a checksum list fared. */
export interface CheckedLine {
  /** Line in the list, from 1. */
  readonly line: number;
  /** As listed, unescaped. */
  readonly path: string;
  readonly algorithm: Algorithm;
  /** Lower-case hex. */
  readonly listed: string;
  /** Lower-case hex; null when the file was not read. */
  readonly found: string | null;
  readonly status: 'match' | 'mismatch' | 'missing' | 'unreadable';
}

/** One checksum list that was verified. */
export interface CheckedList {
  /** As given; `-` is standard input. */
  readonly path: string;
  readonly lines: readonly CheckedLine[];
  /** Lines that are no checksum lines. */
  readonly malformed: readonly SumsProblem[];
}

/** What `firmtally digest --format json` prints; see data-schemas/digest.schema.json. */
export interface DigestDocument {
  readonly digest: 1;
  readonly tool: { readonly name: string; readonly version: string };
  /** In the order given, or in which the lists name them. */
  readonly files: readonly DigestedFile[];
  /** Files that could not be read, in the same order. */
  readonly faults: readonly Fault[];
}

/** The same of checksum lists that were verified. */
export interface CheckDocument extends DigestDocument {
  readonly lists: readonly CheckedList[];
  /** Lines of all lists. */
  readonly totals: Readonly<Record<CheckedLine['status'] | 'malformed', number>>;
}

export function digestDocument(rows: readonly (DigestedFile | Fault)[]): DigestDocument {
  const files: DigestedFile[] = [];
  const faults: Fault[] = [];
  for (const row of rows) {
    if ('code' in row) faults.push(row);
    else files.push(row);
  }
  return { digest: 1, tool: TOOL, files, faults };
}

/** The row of one file. */
export function digestedFile(path: string, { size, digests }: StreamDigests): DigestedFile {
  return { path, size, ...digests };
}
