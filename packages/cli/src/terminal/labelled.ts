import { escapeText } from '@firmtally/core';
import { breaksWord, wrap, wrapIndented } from './wrap.js';

/** How wide lines may be, and how to colour them. */
export interface LineStyle {
  /** Cells of the terminal. */
  readonly columns: number;
  readonly paint: (style: 'bold' | 'dim', text: string) => string;
}

/** Any text, escaped, wrapped behind the indent, and each line coloured. */
export function styledLines<Style extends string>(
  style: Style,
  text: string,
  indent: string,
  to: { readonly columns: number; readonly paint: (style: Style, text: string) => string },
): string[] {
  return wrapIndented(text, indent, to.columns).map((line) => to.paint(style, line));
}

const INDENT = 4;

/** Cells of the labels' column. */
const LABEL = 'expected  '.length;

/**
 * `    expected  16384 bytes`, the value wrapped in a column of its own where
 * there is room for one. A word that would be cut there, such as a checksum,
 * gets lines of its own, so that it can be copied.
 */
export function labelled(label: string, value: string, { columns, paint }: LineStyle): string[] {
  const name = escapeText(label);
  const text = escapeText(value);
  const indent = INDENT + LABEL;
  if (name.length < LABEL && columns >= indent + 24 && !breaksWord(text, columns - indent)) {
    return wrap(text, columns - indent).map((line, index) =>
      index === 0
        ? `${' '.repeat(INDENT)}${paint('dim', name.padEnd(LABEL))}${line}`
        : `${' '.repeat(indent)}${line}`,
    );
  }
  const one = `${name}: ${text}`;
  if (!breaksWord(one, columns - INDENT))
    return wrapIndented(`${label}: ${value}`, ' '.repeat(INDENT), columns);
  const head = `${' '.repeat(INDENT)}${paint('dim', `${name}:`)}`;
  return [head, ...aroundLongWords(text, columns)];
}

/** Wrapped behind the indent, words that are too long for it as far to the left as they need. */
function aroundLongWords(text: string, columns: number): string[] {
  const isLong = (word: string): boolean => breaksWord(word, columns - INDENT);
  const runs: string[][] = [];
  for (const word of text.split(' ')) {
    const last = runs.at(-1);
    if (last === undefined || isLong(word) || last.some(isLong)) runs.push([word]);
    else last.push(word);
  }
  return runs.flatMap((run) => {
    const words = run.join(' ');
    const indent = [INDENT, 2, 0].find((cells) => !breaksWord(words, columns - cells)) ?? INDENT;
    return wrap(words, columns - indent).map((line) => ' '.repeat(indent) + line);
  });
}
