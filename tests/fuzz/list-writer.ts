/**
 * Writes lists as people and programs do, one function a shape, with what each
 * line says kept beside it. It shares no code with the reader it judges;
 * packages/core/docs/lists.md has the rules by which a shape can hold a name.
 */
import { ALGORITHMS } from './contents.js';
import type { Algorithm, Digests } from './expectation.js';
import type { Random } from './random.js';

/** What one row is to say. */
export interface RowModel {
  readonly path: string;
  readonly size: number | null;
  readonly digests: Digests;
  readonly label: string | null;
  readonly system: string | null;
  readonly optional: boolean | null;
}

interface WrittenRow extends RowModel {
  /** From 1. */
  readonly line: number;
}

export interface WrittenList {
  readonly text: string;
  readonly rows: readonly WrittenRow[];
  /** Numbers of lines of which nothing can be used. */
  readonly unused: readonly number[];
}

/** A shape: which rows it can hold, and how it writes them. */
export interface Shape {
  readonly name: string;
  /** Whether lines of other shapes may follow in one list. */
  readonly ends: boolean;
  /** The row as far as this shape can say it; null when it cannot hold the name. */
  fit(row: RowModel, random: Random): RowModel | null;
  /** Lines, with the row each is about; `'noise'` for one that cannot be used, null for one that says nothing. */
  write(rows: readonly RowModel[], random: Random): readonly Line[];
}

type Line = readonly [text: string, about: RowModel | 'noise' | null];

function only(row: RowModel, digests: Digests, size: number | null = null): RowModel | null {
  if (Object.keys(digests).length === 0) return null;
  return { path: row.path, size, digests, label: null, system: null, optional: null };
}

function one(row: RowModel, random: Random, among: readonly Algorithm[]): Digests {
  const present = among.flatMap((name) => {
    const digest = row.digests[name];
    return digest === undefined ? [] : [{ [name]: digest }];
  });
  return present.length === 0 ? {} : random.pick(present);
}

function someOf(digests: Digests, random: Random): Digests {
  const some = random.some(Object.entries(digests), 0.7);
  return some.length === 0 ? digests : Object.fromEntries(some);
}

function hex(text: string, random: Random): string {
  return random.chance(0.3) ? text.toUpperCase() : text;
}

function firstOf(digests: Digests): [Algorithm, string] {
  for (const name of ALGORITHMS) {
    const digest = digests[name];
    if (digest !== undefined) return [name, digest];
  }
  throw new Error('a row without a digest');
}

function isOneLine(text: string): boolean {
  return !/[\r\n]/.test(text);
}

function isTrimmed(text: string): boolean {
  return text.trim() === text;
}

/** Lines that say nothing of any file, by the rules. */
function noise(random: Random): Line {
  const digits = '0123456789abcdef'.repeat(8);
  return random.oneOf<Line>(
    () => ['these are the ones that work for me', 'noise'],
    () => [`${digits.slice(0, random.pick([31, 33, 39, 41, 63, 65, 128]))}  lost.bin`, 'noise'],
    () => ['MD5 (lost.bin) = 1234', 'noise'],
    () => [`SHA512 (lost.bin) = ${digits}`, 'noise'],
    () => [`\\${digits.slice(0, 32)}  a\\tb.bin`, 'noise'],
    () => [`${digits.slice(0, 32)}  ../lost.bin`, 'noise'],
    () => ['', null],
    () => ['-----', null],
    () => ['# a comment 1c2d3e4f', null],
  );
}

function withNoise(lines: readonly Line[], random: Random): Line[] {
  return lines.flatMap((line) => (random.chance(0.2) ? [noise(random), line] : [line]));
}

/** GNU coreutils 9, "md5sum invocation". */
const sums: Shape = {
  name: 'checksum lines',
  ends: false,
  fit: (row, random) =>
    row.path.trimEnd() === row.path || /[\r\n]/.test(row.path)
      ? only(row, one(row, random, ['md5', 'sha1', 'sha256']))
      : null,
  write: (rows, random) =>
    withNoise(
      rows.map((row) => {
        const [, digest] = firstOf(row.digests);
        const escaped = row.path.replaceAll('\n', '\\n').replaceAll('\r', '\\r');
        const mark = escaped === row.path ? '' : '\\';
        return [`${mark}${hex(digest, random)}${random.pick(['  ', ' *'])}${escaped}`, row];
      }),
      random,
    ),
};

/** As BSD's md5 and coreutils' --tag write. */
const tagged: Shape = {
  name: 'tagged lines',
  ends: false,
  fit: (row, random) =>
    isOneLine(row.path) && row.path.trimEnd() === row.path
      ? only(row, one(row, random, ['md5', 'sha1', 'sha256']))
      : null,
  write: (rows, random) =>
    withNoise(
      rows.map((row) => {
        const [name, digest] = firstOf(row.digests);
        return [`${name.toUpperCase()} (${row.path}) = ${hex(digest, random)}`, row];
      }),
      random,
    ),
};

const nameLines: Shape = {
  name: 'name and CRC-32',
  ends: false,
  fit: (row) =>
    isOneLine(row.path) &&
    isTrimmed(row.path) &&
    !/^["'`\u201c[(<*\u2022\-#;]|[:,;=|]$/.test(row.path) &&
    (!/\s/.test(row.path) || /[^\s.]\.[A-Za-z0-9]{1,8}$/.test(row.path))
      ? only(row, row.digests.crc32 === undefined ? {} : { crc32: row.digests.crc32 })
      : null,
  write: (rows, random) => [
    ['; made by hand', null],
    ...rows.map((row): Line => {
      const [, digest] = firstOf(row.digests);
      return [`${row.path}${random.pick([' ', '  ', '\t'])}${hex(digest, random)}`, row];
    }),
  ],
};

const LABELS: Readonly<Record<Algorithm, readonly string[]>> = {
  crc32: ['CRC32: ', 'crc-32 = ', 'CRC '],
  md5: ['', 'MD5: ', 'md5=', 'MD5 '],
  sha1: ['', 'SHA-1: ', 'sha1 = '],
  sha256: ['', 'SHA256: ', 'SHA-256 '],
};

const loose: Shape = {
  name: 'loose text',
  ends: false,
  fit: (row, random) => {
    const { path } = row;
    if (
      !isOneLine(path) ||
      !isTrimmed(path) ||
      path.includes('"') ||
      /^(?:0x)?[0-9a-f]+$/i.test(path)
    )
      return null;
    return only(row, someOf(row.digests, random), row.size);
  },
  write: (rows, random) =>
    withNoise(
      rows.map((row) => {
        const digests = Object.entries(row.digests).map(
          ([name, digest]) => random.pick(LABELS[name as Algorithm]) + hex(digest, random),
        );
        const size =
          row.size === null
            ? []
            : [random.pick([`${row.size} bytes`, `size: ${row.size}`, `(${row.size} B)`])];
        const name = `"${row.path}"`;
        const glue = random.pick([', ', '  ', '\t', ' | ', ' - ']);
        const rest = [...size, ...digests];
        const text = random.oneOf(
          () => [name, ...rest].join(glue),
          () => `- ${name}: ${rest.join(glue)}`,
          // Two spaces after a checksum would make it a line of md5sum, where quotes belong to the name.
          () => [...digests, name, ...size].join(glue === '  ' ? ' ' : glue),
          () => `the file ${name} is ${rest.join(' and ')}`,
        );
        return [text, row];
      }),
      random,
    ),
};

interface Cell {
  readonly titles: readonly string[];
  text(row: RowModel, random: Random): string;
}

const NOTHING = ['', '-', 'n/a', '?'];

function orNothing(text: string | number | null | undefined, random: Random): string {
  return text === null || text === undefined ? random.pick(NOTHING) : String(text);
}

function grouped(size: number): string {
  return String(size).replaceAll(/(?<=[0-9])(?=(?:[0-9]{3})+$)/g, ',');
}

const CELLS: readonly Cell[] = [
  { titles: ['File', 'filename', 'BIOS file', 'Name', 'PATH'], text: ({ path }) => path },
  {
    titles: ['Size', 'Bytes', 'file size', 'Size (bytes)'],
    text: ({ size }, random) =>
      size === null
        ? random.pick(NOTHING)
        : random.pick([String(size), grouped(size), `${size} bytes`]),
  },
  {
    titles: ['Region', 'Revision', 'label', 'Version'],
    text: ({ label }, random) => orNothing(label, random),
  },
  {
    titles: ['System', 'console', 'Platform', 'Machine'],
    text: ({ system }, random) => orNothing(system, random),
  },
  {
    titles: ['CRC', 'CRC32', 'crc-32'],
    text: ({ digests }, random) => orNothing(digests.crc32 && hex(digests.crc32, random), random),
  },
  {
    titles: ['MD5', 'md5sum', 'MD5 hash'],
    text: ({ digests }, random) => orNothing(digests.md5 && hex(digests.md5, random), random),
  },
  {
    titles: ['SHA1', 'SHA-1', 'sha1 checksum'],
    text: ({ digests }, random) => orNothing(digests.sha1 && hex(digests.sha1, random), random),
  },
  {
    titles: ['SHA-256', 'sha256sum'],
    text: ({ digests }, random) => orNothing(digests.sha256 && hex(digests.sha256, random), random),
  },
  {
    titles: ['Required', 'needed?'],
    text: ({ optional }, random) =>
      optional === null
        ? ''
        : random.pick(optional ? ['no', 'optional', 'No'] : ['yes', 'required', 'x']),
  },
];

/** Columns in any order; digests that no row has may be left out. */
function columns(random: Random): Cell[] {
  const [name, ...others] = CELLS;
  const rest = others.map((cell) => [random.bits(), cell] as const).sort(([a], [b]) => a - b);
  const chosen = rest.map(([, cell]) => cell);
  if (name !== undefined) chosen.splice(random.below(chosen.length + 1), 0, name);
  return chosen;
}

function tableFit(row: RowModel): RowModel | null {
  return isOneLine(row.path) && isTrimmed(row.path) ? row : null;
}

function delimited(name: string, mark: string): Shape {
  const quote = (text: string, random: Random): string =>
    /["\r\n]/.test(text) || text.includes(mark) || random.chance(0.2)
      ? `"${text.replaceAll('"', '""')}"`
      : text;
  return {
    name,
    ends: true,
    fit: tableFit,
    write: (rows, random) => {
      const cells = columns(random);
      const row = (texts: readonly string[]): string =>
        texts.map((text) => quote(text, random)).join(mark);
      const bad = (): Line => [
        row(
          cells.map(({ titles }) =>
            /^(?:crc|md5|sha)/i.test(titles[0] ?? '') ? '12345' : 'lost.bin',
          ),
        ),
        'noise',
      ];
      return [
        [cells.map(({ titles }) => random.pick(titles)).join(mark), null],
        ...rows.flatMap((each): Line[] => {
          const line: Line = [row(cells.map((cell) => cell.text(each, random))), each];
          return random.chance(0.1) ? [bad(), line] : [line];
        }),
      ];
    },
  };
}

const markdown: Shape = {
  name: 'Markdown',
  ends: false,
  fit: tableFit,
  write: (rows, random) => {
    const cells = columns(random);
    // CommonMark 0.31, 2.4: any ASCII punctuation may be escaped.
    const cell = (text: string): string => {
      if (!/[`|\\]/.test(text) && text !== '' && random.chance(0.3)) return `\`${text}\``;
      return text.replaceAll(/[!-/:-@[-`{-~]/g, (mark) =>
        /[,.:]/.test(mark) ? mark : `\\${mark}`,
      );
    };
    const row = (texts: readonly string[]): string => `| ${texts.join(' | ')} |`;
    return [
      [row(cells.map(({ titles }) => random.pick(titles))), null],
      [row(cells.map(() => random.pick(['---', ':-:', '--:']))), null],
      ...rows.map((each): Line => [row(cells.map((one) => cell(one.text(each, random)))), each]),
      ['', null],
    ];
  },
};

/** The shapes whose lines may stand in one list. */
export const SHAPES: readonly Shape[] = [
  sums,
  tagged,
  nameLines,
  loose,
  markdown,
  delimited('commas', ','),
  delimited('tabs', '\t'),
  delimited('semicolons', ';'),
];

/** A list of sections, each of one shape; only the last can be a table that goes on to the end. */
export function writeLines(
  sections: readonly (readonly [Shape, readonly RowModel[]])[],
  random: Random,
): WrittenList {
  const lines = sections.flatMap(([shape, rows]) => [
    ...shape.write(rows, random),
    ['', null] as const,
  ]);
  const mark = random.chance(0.3) ? '\r\n' : '\n';
  const rows: WrittenRow[] = [];
  const unused: number[] = [];
  for (const [index, [, about]] of lines.entries()) {
    if (about === 'noise') unused.push(index + 1);
    else if (about !== null) rows.push({ line: index + 1, ...about });
  }
  return { text: lines.map(([line]) => line + mark).join(''), rows, unused };
}

/** A JSON array of objects, one a line; nested now and then. */
export function writeJson(rows: readonly RowModel[], random: Random): WrittenList {
  const fitting = rows.filter(({ path }) => isTrimmed(path));
  const lines = fitting.map(({ path, size, digests, label, system, optional }) => {
    const nest = random.chance(0.3);
    return JSON.stringify({
      [random.pick(['file', 'name', 'path'])]: path,
      ...(size === null ? {} : { size }),
      ...(nest ? { checksums: digests } : digests),
      ...(label === null ? {} : { region: label }),
      ...(system === null ? {} : { system }),
      ...(optional === null ? {} : { optional }),
    });
  });
  const body = lines.join(',\n');
  const text = random.chance(0.3) ? `{"files": [\n${body}\n]}` : `[\n${body}\n]`;
  return { text, rows: fitting.map((row, index) => ({ line: index + 2, ...row })), unused: [] };
}
