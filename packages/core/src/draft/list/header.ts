import { ALGORITHM_NAMES, type Algorithm } from '../../bytes/digests.js';
import { algorithmNamed } from './values.js';
import { note, type Note } from '../note.js';

/** What a column of a table holds. `checksum`: digests whose length says of which algorithm. */
export type Column =
  | { readonly kind: 'path' | 'file' | 'folder' | 'size' | 'checksum' | 'system' | 'label' }
  | { readonly kind: 'required' | 'optional' }
  | { readonly kind: 'digest'; readonly algorithm: Algorithm }
  | { readonly kind: 'none' };

export interface Header {
  /** One for each cell, left to right. */
  readonly columns: readonly Column[];
  /** What is left out of every row, a sentence each. */
  readonly notes: readonly Note[];
  /** Whether the header says that sizes are in kilobytes or the like. */
  readonly roundedSizes: boolean;
}

type PlainKind = Exclude<Column['kind'], 'digest' | 'none'>;

/** Words of the trade for each kind of column, lower-case. Of several columns for the name the first kind that is there counts. */
const WORDS: readonly (readonly [PlainKind, string])[] = [
  ['path', 'path,file path,full path,relative path,filepath'],
  ['file', 'file,filename,file name,files,required file'],
  ['file', 'firmware file,bios file,rom file,image file,firmware name,bios name,rom name'],
  ['file', 'firmware,bios,rom,image'],
  ['file', 'name,entry,item'],
  ['folder', 'folder,directory,dir,subfolder,sub folder,subdirectory,location'],
  ['size', 'size,bytes,length,file size,filesize,size in bytes,byte size'],
  ['checksum', 'checksum,checksums,hash,hashes,digest,digests,sum,fingerprint'],
  ['system', 'system,systems,platform,console,machine,device,computer,hardware'],
  ['label', 'label,dump,revision,rev,version,ver,variant,region,country,edition,release'],
  ['required', 'required,requirement,mandatory,needed,need,necessary,status'],
  ['optional', 'optional'],
];

/** Words beside an algorithm's name that change nothing. */
const FILLERS = new Set(['sum', 'hash', 'checksum', 'digest', 'value', 'hex', 'of', 'the', 'file']);
const ROUNDED_UNIT = /\b(?:kb|kib|mb|mib|kilobytes|megabytes|k|m)\b/u;

/**
 * Reads the cells of a line as a header. Null when it is none: it has to name
 * a column for files and one for checksums, and to hold no checksum itself.
 */
export function readHeader(cells: readonly string[]): Header | null {
  if (cells.some(holdsDigits)) return null;
  const words = cells.map(plainWords);
  const kinds = words.map(kindOf);
  const columns: Column[] = kinds.map(() => ({ kind: 'none' }));
  const notes: Note[] = [];
  let name = false;
  let sum = false;
  const taken = new Map<string, number>();
  for (const rank of [...WORDS.keys(), WORDS.length]) {
    for (const [index, kind] of kinds.entries()) {
      if (kind?.rank !== rank) continue;
      const { column } = kind;
      const key = column.kind === 'digest' ? column.algorithm : column.kind;
      // Labels of several columns go together; of anything else the first counts.
      if (column.kind !== 'label' && taken.has(key)) continue;
      taken.set(key, index);
      columns[index] = column;
      name ||= column.kind === 'path' || column.kind === 'file';
      sum ||= column.kind === 'digest' || column.kind === 'checksum';
    }
  }
  if (!name || !sum) return null;
  for (const [index, column] of columns.entries()) {
    if (column.kind !== 'none' || words[index] === '') continue;
    const name = (cells[index] ?? '').trim();
    notes.push(note('unused-column', `The column "${name}" is not used.`));
  }
  const size = words[taken.get('size') ?? -1] ?? '';
  return { columns, notes, roundedSizes: ROUNDED_UNIT.test(size) };
}

/** A checksum, even one gone wrong, makes a row of a line. */
function holdsDigits(cell: string): boolean {
  return (cell.match(/[0-9a-f]{8,}/giu) ?? []).some((run) => /[0-9]/u.test(run));
}

interface Kind {
  readonly rank: number;
  readonly column: Column;
}

/** `size (bytes)` without what stands in brackets at its end. */
function withoutUnit(words: string): string {
  const open = words.endsWith(')') ? words.indexOf('(') : -1;
  return open < 0 ? words : words.slice(0, open).trimEnd();
}

function kindOf(words: string): Kind | null {
  const found = KINDS.get(words) ?? KINDS.get(withoutUnit(words));
  if (found !== undefined) return found;
  const rest = words
    .replaceAll(/[()?]/gu, ' ')
    .split(/ +/u)
    .filter((word) => word !== '');
  for (const length of [2, 1]) {
    for (let at = 0; at + length <= rest.length; at++) {
      const algorithm = algorithmNamed(rest.slice(at, at + length).join(''));
      if (algorithm === null) continue;
      const others = [...rest.slice(0, at), ...rest.slice(at + length)];
      if (!others.every((word) => FILLERS.has(word))) return null;
      return { rank: WORDS.length, column: { kind: 'digest', algorithm } };
    }
  }
  return null;
}

const KINDS: ReadonlyMap<string, Kind> = new Map(
  WORDS.flatMap(([kind, words], rank) =>
    words.split(',').map((word) => [word, { rank, column: { kind } }] as const),
  ),
);

/** Longer cells are no header. */
const MAX_WORDS = 60;

/** Lower-case, one space between words, without marks around. */
function plainWords(cell: string): string {
  if (cell.length > 4 * MAX_WORDS) return '';
  return cell
    .normalize('NFKC')
    .toLowerCase()
    .replaceAll(/[\s_*`"'-]+/gu, ' ')
    .replaceAll(/[:?#.]+/gu, '')
    .trim()
    .slice(0, MAX_WORDS);
}

/** A column as a sentence names it. */
export function shownColumn(column: Column): string {
  if (column.kind === 'digest') return ALGORITHM_NAMES[column.algorithm];
  return column.kind;
}
