import stringWidth from 'string-width';

export type ProblemStyle = 'bold' | 'red' | 'yellow' | 'green' | 'cyan' | 'dim';

/** A part of a line that is not broken, and how it is coloured. Free of controls. */
export interface Part {
  readonly text: string;
  readonly paint?: (text: string) => string;
}

/** Words of a text, to be broken between. */
export function wordsOf(text: string): Part[] {
  return text.split(' ').map((word) => ({ text: word }));
}

/**
 * Parts with a space between, in lines of at most `columns` cells, all but the
 * first set in. A part wider than that has a line of its own.
 */
export function fill(parts: readonly Part[], columns: number, indent: string): string[] {
  const lines: string[] = [];
  let line = '';
  let width = 0;
  for (const { text, paint } of parts) {
    const cells = stringWidth(text);
    const shown = paint === undefined ? text : paint(text);
    if (line === '') {
      line = shown;
      width += cells;
    } else if (width + 1 + cells <= columns) {
      line += ` ${shown}`;
      width += 1 + cells;
    } else {
      lines.push(line);
      line = indent + shown;
      width = indent.length + cells;
    }
  }
  return [...lines, line];
}
