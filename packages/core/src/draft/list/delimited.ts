import papa from 'papaparse';
import { readHeader, type Header } from './header.js';

/** What may stand between the cells of a table. Markdown's `|` has a reader of its own. */
const DELIMITERS = ['\t', ';', ','] as const;
type Delimiter = (typeof DELIMITERS)[number];

/** Longer lines are no header. */
export const MAX_HEADER = 2000;

/** One row as it was cut into cells. */
export interface CutRow {
  /** Line of the table it starts in, from 0, and how many it takes: a quoted cell may hold line breaks. */
  readonly line: number;
  readonly lines: number;
  readonly cells: readonly string[];
}

/** A delimited table's header; null when the line is none. */
export function delimitedHeader(line: string): { header: Header; delimiter: Delimiter } | null {
  for (const delimiter of DELIMITERS) {
    if (!line.includes(delimiter)) continue;
    const header = readHeader(line.split(delimiter));
    if (header !== null) return { header, delimiter };
  }
  return null;
}

/** The cells of one line; null when a quote is opened and not closed as it should be. */
export function cutLine(line: string, delimiter: Delimiter): readonly string[] | null {
  if (!line.includes('"')) return line.split(delimiter);
  const { rows, rest } = cutRows([line], delimiter);
  return rest === 0 ? null : (rows[0]?.cells ?? []);
}

/**
 * Cuts the lines after a header into rows (RFC 4180, but for the delimiter).
 * `rest` is the first line that was not cut, as the quotes from there on do not
 * pair up; it is the number of lines when all went well.
 */
export function cutRows(
  lines: readonly string[],
  delimiter: Delimiter,
): { readonly rows: readonly CutRow[]; readonly rest: number } {
  const { data, errors } = papa.parse(lines.join('\n'), {
    delimiter,
    newline: '\n',
    quoteChar: '"',
  });
  const wrong = errors.find(({ type }) => type === 'Quotes')?.row ?? data.length;
  const rows: CutRow[] = [];
  let line = 0;
  for (const cells of data.slice(0, wrong)) {
    // A line break is only in a cell when quotes were around it.
    const count = 1 + cells.reduce((sum, cell) => sum + cell.split('\n').length - 1, 0);
    rows.push({ line, lines: count, cells });
    line += count;
  }
  return { rows, rest: Math.min(line, lines.length) };
}
