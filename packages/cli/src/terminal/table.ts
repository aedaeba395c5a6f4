import stringWidth from 'string-width';
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
  const head = columns.map(({ title }): Cell => ({ text: title, paint: style.paintHead }));
  const line = style.ascii ? '-' : '─';
  const rule = widths.map((width): Cell => ({ text: line.repeat(width), paint: style.paintHead }));
  return [head, rule, ...rows].flatMap((row) => drawRow(row, widths)).join('\n');
}

/** The lines of one row, each cell filled up to its column's width. */
function drawRow(row: readonly Cell[], widths: readonly number[]): string[] {
  const cells = row.map(({ text, paint }, index) => {
    const width = widths[index] ?? 1;
    const lines = text.split('\n').flatMap((each) => wrapHanging(each, width));
    return { lines, width, paint };
  });
  const height = Math.max(...cells.map(({ lines }) => lines.length));
  return Array.from({ length: height }, (_, index) =>
    cells
      .map(({ lines, width, paint }) => {
        const text = lines[index] ?? '';
        const filling = ' '.repeat(Math.max(0, width - stringWidth(text)));
        return (paint === undefined || text === '' ? text : paint(text)) + filling;
      })
      .join(' '.repeat(GAP))
      .trimEnd(),
  );
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
