import { DIGEST_LENGTH, type Algorithm } from '../../bytes/digests.js';
import { leftOutFor, type LeftOutReason } from '../../facts/left-out.js';
import { shownColumn, type Column, type Header } from './header.js';
import type { LineOutcome } from './model.js';
import { toPath, trimMarks } from './name.js';
import {
  algorithmNamed,
  algorithmOfLength,
  hexDigits,
  otherAlgorithmOfLength,
  readSize,
  roundedNote,
  wrongLength,
  wrongLengthOf,
} from './values.js';
import { note, type Note } from '../note.js';

/** Cells that say that nothing is known. */
const NOTHING = /^(?:|[-\u2013\u2014?.]+|n\/?a|none|unknown|tbd|null|nil)$/iu;

const YES =
  /^(?:y|yes|true|1|x|\u2713|\u2714|\u2705|required|mandatory|needed|must(?: have)?|always)$/iu;
const NO =
  /^(?:n|no|false|0|\u2717|\u2718|\u274c|optional|not (?:required|needed)|recommended|-)$/iu;

/** What the cells of one row have given so far. */
interface Gathered {
  path: string;
  file: string;
  folder: string;
  size: number | null;
  readonly digests: Partial<Record<Algorithm, string>>;
  readonly labels: string[];
  system: string | null;
  optional: boolean | null;
  readonly notes: Note[];
}

/** Reads one row of a table; says why when it cannot be used. */
export function readTableRow(cells: readonly string[], header: Header): LineOutcome {
  const extra = cells.slice(header.columns.length).filter((cell) => cell.trim() !== '');
  if (extra.length > 0) {
    return leftOutFor('cell-count', { cells: cells.length, columns: header.columns.length });
  }
  const row: Gathered = {
    path: '',
    file: '',
    folder: '',
    size: null,
    digests: {},
    labels: [],
    system: null,
    optional: null,
    notes: [],
  };
  for (const [index, column] of header.columns.entries()) {
    const problem = readCell((cells[index] ?? '').trim(), column, header, row);
    if (problem !== null) return problem;
  }
  const name = nameOf(row);
  if (name === '') return leftOutFor('no-name', { of: 'row' });
  if (Object.keys(row.digests).length === 0) return leftOutFor('no-checksum', { of: 'row' });
  const to = toPath(name);
  if ('code' in to) return to;
  const { size, digests, labels, system, optional, notes } = row;
  const label = labels.length === 0 ? null : labels.join(', ');
  return { row: { path: to.path, size, digests, label, system, optional }, notes };
}

/** Puts what a cell says into the row; gives what is wrong with it. */
function readCell(
  cell: string,
  column: Column,
  header: Header,
  row: Gathered,
): LeftOutReason | null {
  if (column.kind === 'path' || column.kind === 'file' || column.kind === 'folder') {
    row[column.kind] = cell;
    return null;
  }
  if (column.kind === 'none' || NOTHING.test(cell)) return null;
  switch (column.kind) {
    case 'size':
      readSizeCell(cell, header, row);
      return null;
    case 'system':
      row.system = cell;
      return null;
    case 'label':
      row.labels.push(cell);
      return null;
    case 'required':
    case 'optional':
      readWanted(cell, column.kind, row);
      return null;
    case 'digest':
    case 'checksum':
      return readDigests(cell, column, row);
  }
}

function readSizeCell(cell: string, header: Header, row: Gathered): void {
  const size = readSize(cell);
  if (
    size === 'rounded' ||
    (header.roundedSizes && size !== null && !/b(?:ytes?)?\)?$/iu.test(cell))
  ) {
    row.notes.push(roundedNote(cell));
  } else if (size === null)
    row.notes.push(note('no-size', `"${cell}" is no size in bytes, so it is left out.`));
  else row.size = size.bytes;
}

function readWanted(cell: string, kind: 'required' | 'optional', row: Gathered): void {
  // "optional" means the same in a column of either name; "yes" does not.
  if (/^optional$/iu.test(cell)) row.optional = true;
  else if (/^(?:required|mandatory)$/iu.test(cell)) row.optional = false;
  else if (YES.test(cell)) row.optional = kind === 'optional';
  else if (NO.test(cell)) row.optional = kind === 'required';
  else
    row.notes.push(
      note(
        'required-unsaid',
        `"${cell}" does not say whether the file is required, so it counts as required.`,
      ),
    );
}

/** One digest, or several of different algorithms; words such as `MD5:` may stand between. */
function readDigests(cell: string, column: Column, row: Gathered): LeftOutReason | null {
  const wanted = column.kind === 'digest' ? column.algorithm : null;
  let found = 0;
  for (const word of cell.split(/[\s,;/:=]+/u)) {
    const text = trimMarks(word, '([{<*`\'"', ')]}>*`\'".');
    if (text === '' || algorithmNamed(text) !== null) continue;
    const hex = hexDigits(text);
    if (hex === null)
      return leftOutFor('not-a-checksum', { cell: cut(cell), column: shownColumn(column) });
    const algorithm = algorithmOfLength(hex.length);
    if (algorithm === null || (wanted !== null && algorithm !== wanted)) {
      if (wanted === null && otherAlgorithmOfLength(hex.length) !== null) {
        row.notes.push(note('other-checksum', wrongLength(hex).text));
        continue;
      }
      return wanted === null ? wrongLength(hex) : wrongDigits(wanted, hex);
    }
    found++;
    const before = row.digests[algorithm];
    if (before !== undefined && before !== hex) {
      return leftOutFor('two-checksums', { algorithm, of: 'row' });
    }
    row.digests[algorithm] = hex;
  }
  return found > 0 || wanted === null
    ? null
    : leftOutFor('not-a-checksum', { cell: cut(cell), column: null });
}

function wrongDigits(wanted: Algorithm, hex: string): LeftOutReason {
  return wrongLengthOf(wanted, hex, wanted === 'crc32' && hex.length <= DIGEST_LENGTH.crc32);
}

function cut(text: string): string {
  return text.length > 40 ? `${text.slice(0, 40)}…` : text;
}

/** A path stands by itself, unless a column of its own gives the file's name in that folder. */
function nameOf({ path, file, folder }: Gathered): string {
  if (path !== '') {
    if (file === '' || path.split(/[/\\]/u).at(-1) === file) return path;
    return `${path}/${file}`;
  }
  return folder === '' || folder === '.' || file === '' ? file : `${folder}/${file}`;
}
