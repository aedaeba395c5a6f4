import type { SourceLocation } from '../model.js';

/** Half-open range of UTF-16 offsets into a text. */
export interface TextRange {
  readonly start: number;
  readonly end: number;
}

/** From 1; columns in UTF-16 units. */
export interface Position {
  readonly line: number;
  readonly column: number;
}

/** Index of the first of ascending numbers that is not below a bound; their count when all are. */
export function firstAtLeast(ascending: readonly number[], bound: number): number {
  let low = 0;
  let high = ascending.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((ascending[middle] ?? 0) < bound) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** One manifest's text, with offsets turned into lines and columns. */
export class SourceText {
  readonly path: string;
  readonly text: string;
  readonly #lineStarts: readonly number[];

  constructor(path: string, text: string) {
    this.path = path;
    this.text = text;
    const starts = [0];
    for (let at = text.indexOf('\n'); at !== -1; at = text.indexOf('\n', at + 1)) {
      starts.push(at + 1);
    }
    this.#lineStarts = starts;
  }

  /** Offsets outside the text are moved to its nearer end. */
  position(offset: number): Position {
    const inside = Math.max(0, Math.min(offset, this.text.length));
    const line = firstAtLeast(this.#lineStarts, inside + 1);
    return { line, column: inside - (this.#lineStarts[line - 1] ?? 0) + 1 };
  }

  /** A line's text without its line break; '' when there is no such line. */
  line(number: number): string {
    const start = this.#lineStarts[number - 1];
    if (start === undefined) return '';
    const end = this.#lineStarts[number] ?? this.text.length + 1;
    return this.text.slice(start, end - 1).replace(/\r$/, '');
  }
}

/** A stretch of a manifest, and the value it belongs to. */
export interface Spot {
  readonly source: SourceText;
  readonly range: TextRange;
  /** RFC 6901. */
  readonly pointer: string;
}

/**
 * Where a stretch begins and ends, as people and editors count. The yaml
 * library ends a block at the next token; what a person sees ends at its last
 * character.
 */
export function spotLocation({ source, range }: Spot): SourceLocation {
  const start = source.position(range.start);
  const written = source.text.slice(range.start, range.end).trimEnd();
  const end = source.position(range.start + written.length);
  return {
    file: source.path,
    line: start.line,
    column: start.column,
    endLine: end.line,
    endColumn: end.column,
  };
}
