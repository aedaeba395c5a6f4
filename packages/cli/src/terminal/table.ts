import Table from 'cli-table3';
import { widthOf, wrapHanging } from './wrap.js';

export interface Column {
  readonly title: string;
  /** May be made narrower than its content, down to this many cells; without it the column keeps its width. */
  readonly atLeast?: number;
}

/** One cell's text, free of controls, and how to colour it. Line breaks in it are kept; what wraps beyond them is indented. */
export interface Cell {
  readonly text: string;
  readonly paint?: (text: string) => string;
}

export interface TableStyle {
  /** Cells of the terminal. */
  readonly columns: number;
  readonly ascii: boolean;
  readonly paintHead: (text: string) => string;
}

/** Cells between two columns. */
const GAP = 2;

/** A table without frame, its long cells wrapped; null when it does not fit even so. */
export function drawTable(
  columns: readonly Column[],
  rows: readonly (readonly Cell[])[],
  style: TableStyle,
): string | null {
  const widths = columnWidths(columns, rows, style.columns);
  if (widths === null) return null;
  const widthAt = (index: number): number => widths[index] ?? 1;
  const head = columns.map(({ title }, index) => fill(title, widthAt(index), style.paintHead));
  const rule = widths.map((width) => style.paintHead((style.ascii ? '-' : '─').repeat(width)));
  const lines = [
    ...linesOf(head),
    rule,
    ...rows.flatMap((row) =>
      linesOf(row.map(({ text, paint }, index) => fill(text, widthAt(index), paint))),
    ),
  ];
  const drawn: string[] = [];
  for (let start = 0; start < lines.length; start += BATCH) {
    const batch = lines.slice(start, start + BATCH);
    // The rule gives every batch the same widths.
    drawn.push(...drawLines([rule, ...batch]).slice(1));
  }
  return drawn.join('\n');
}

/** Lines drawn at a time: cli-table3 takes time by the square of the rows, and more yet by the lines of one cell. */
const BATCH = 16;

/** A row of cells of several lines as rows of one line. */
function linesOf(cells: readonly (readonly string[])[]): string[][] {
  const height = Math.max(...cells.map((cell) => cell.length));
  return Array.from({ length: height }, (_, index) => cells.map((cell) => cell[index] ?? ''));
}

/** One line for each row. */
function drawLines(rows: readonly (readonly string[])[]): string[] {
  const table = new Table({ chars: NO_LINES, style: PLAIN });
  table.push(...rows.map((row) => [...row]));
  return table
    .toString()
    .split('\n')
    .map((line) => line.trimEnd());
}

function fill(text: string, width: number, paint?: (text: string) => string): string[] {
  return text
    .split('\n')
    .flatMap((line) => wrapHanging(line, width))
    .map((line) => (paint === undefined || line === '' ? line : paint(line)));
}

/** Narrows the widest of the columns that may be, until all fit. */
function columnWidths(
  columns: readonly Column[],
  rows: readonly (readonly Cell[])[],
  available: number,
): number[] | null {
  const widths = columns.map(({ title }, index) =>
    widthOf([title, ...rows.flatMap((row) => row[index]?.text.split('\n') ?? [])]),
  );
  let excess = sum(widths) + GAP * (columns.length - 1) - available;
  while (excess > 0) {
    let widest = -1;
    for (const [index, { atLeast }] of columns.entries()) {
      const width = widths[index] ?? 0;
      if (atLeast === undefined || width <= atLeast) continue;
      if (widest < 0 || width > (widths[widest] ?? 0)) widest = index;
    }
    if (widest < 0) return null;
    widths[widest] = (widths[widest] ?? 0) - 1;
    excess--;
  }
  return widths;
}

function sum(numbers: readonly number[]): number {
  return numbers.reduce((total, number) => total + number, 0);
}

const PLAIN = { head: [], border: [], 'padding-left': 0, 'padding-right': 0 };

/** No lines at all: the columns are told apart by the gap. */
const NO_LINES: Record<string, string> = {
  ...Object.fromEntries(
    [
      ...['top', 'top-mid', 'top-left', 'top-right', 'bottom', 'bottom-mid', 'bottom-left'],
      ...['bottom-right', 'left', 'left-mid', 'mid', 'mid-mid', 'right', 'right-mid'],
    ].map((name) => [name, '']),
  ),
  middle: ' '.repeat(GAP),
};
