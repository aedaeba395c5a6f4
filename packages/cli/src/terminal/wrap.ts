import { escapeText } from '@firmtally/core';
import { graphemes } from '@firmtally/core/internal';
import stringWidth from 'string-width';

/**
 * Breaks text into lines of at most `width` cells: at spaces, else after a
 * separator of a path or name, else between any two characters. Only spaces at
 * breaks and ends are lost. Never gives an empty list. The text must be free of
 * controls and colours.
 */
export function wrap(text: string, width: number): string[] {
  return fill(text, width, width);
}

/** Any text, escaped and wrapped, each line behind the indent. */
export function wrapIndented(text: string, indent: string, columns: number): string[] {
  return wrap(escapeText(text), columns - indent.length).map((line) => indent + line);
}

/** As {@link wrap}, with every line but the first indented, so that a list of wrapped items stays one. */
export function wrapHanging(text: string, width: number): string[] {
  const indent = width > 2 * INDENT.length ? INDENT : '';
  const [first = '', ...rest] = fill(text, width, width - indent.length);
  return [first, ...rest.map((line) => indent + line)];
}

const INDENT = '  ';

function fill(text: string, firstWidth: number, restWidth: number): string[] {
  const lines: string[] = [];
  let line = '';
  const room = (): number => (lines.length === 0 ? firstWidth : restWidth);
  const flush = (): void => {
    if (line.trimEnd() !== '') lines.push(line.trimEnd());
    line = '';
  };
  for (const word of text.split(' ')) {
    const joined = line === '' ? word : `${line} ${word}`;
    if (cellsOf(joined) <= room()) {
      line = joined;
      continue;
    }
    flush();
    for (const part of word.split(SEPARATED)) {
      if (cellsOf(line + part) <= room()) {
        line += part;
        continue;
      }
      flush();
      for (const { segment } of graphemes(part)) {
        if (line !== '' && cellsOf(line + segment) > room()) flush();
        line += segment;
      }
    }
  }
  flush();
  return lines.length === 0 ? [''] : lines;
}

/** Width of the longest line, in cells. */
export function widthOf(lines: readonly string[]): number {
  return lines.reduce((widest, line) => Math.max(widest, cellsOf(line)), 0);
}

/** What nearly every text is made of has one cell for each character. */
function cellsOf(text: string): number {
  return ASCII.test(text) ? text.length : stringWidth(text);
}

const ASCII = /^[ -~]*$/;

/** After each separator. */
const SEPARATED = /(?<=[/_.,:-])/;
