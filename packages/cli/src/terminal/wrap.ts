import { escapeText } from '@firmtally/core';
import { graphemes } from '@firmtally/core/internal';
import { cellsOf } from './cut.js';

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

/** Text of several lines, each wrapped behind the indent it has; further lines of one are set in below it. */
export function wrapLines(text: string, width: number): string {
  return text
    .split('\n')
    .flatMap((line) => {
      const indent = /^ */.exec(line)?.[0] ?? '';
      if (line.length <= width || indent.length > width / 2) return [line];
      return wrapHanging(line.slice(indent.length), width - indent.length).map(
        (part) => indent + part,
      );
    })
    .join('\n');
}

const INDENT = '  ';

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
 * Parts with a space between, in lines of at most `width` cells, all but the
 * first indented. A part wider than that has a line of its own.
 */
export function fillParts(parts: readonly Part[], width: number, indent: string): string[] {
  const lines: string[] = [];
  let line = '';
  let used = 0;
  for (const { text, paint } of parts) {
    const cells = cellsOf(text);
    const shown = paint === undefined ? text : paint(text);
    if (line === '') {
      line = shown;
      used = cells;
    } else if (used + 1 + cells <= width) {
      line += ` ${shown}`;
      used += 1 + cells;
    } else {
      lines.push(line);
      line = indent + shown;
      used = indent.length + cells;
    }
  }
  return [...lines, line];
}

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

/** Whether {@link wrap} would have to cut a word that no separator divides. */
export function breaksWord(text: string, width: number): boolean {
  return text
    .split(' ')
    .some((word) => word.split(SEPARATED).some((part) => cellsOf(part) > width));
}

/** Width of the longest line, in cells. */
export function widthOf(lines: readonly string[]): number {
  return lines.reduce((widest, line) => Math.max(widest, cellsOf(line)), 0);
}

/** After each separator. */
const SEPARATED = /(?<=[/_.,:-])/;
