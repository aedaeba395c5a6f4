import stringWidth from 'string-width';

/**
 * Breaks text into lines of at most `width` cells: at spaces, else after a
 * separator of a path or name, else between any two characters. Never gives an
 * empty list. The text must be free of controls and colours.
 */
export function wrap(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    const joined = line === '' ? word : `${line} ${word}`;
    if (stringWidth(joined) <= width) {
      line = joined;
      continue;
    }
    if (line !== '') lines.push(line);
    const pieces = breakWord(word, width);
    line = pieces.pop() ?? '';
    lines.push(...pieces);
  }
  lines.push(line);
  return lines;
}

/** As {@link wrap}, with every line but the first indented, so that a list of wrapped items stays one. */
export function wrapHanging(text: string, width: number): string[] {
  const [first = '', ...rest] = wrap(text, width);
  if (rest.length === 0 || width <= INDENT.length) return [first, ...rest];
  const remaining = text.slice(first.length).trimStart();
  const lines = wrap(remaining, width - INDENT.length);
  return [first, ...lines.map((line) => INDENT + line)];
}

const INDENT = '  ';

/** Width of the longest line, in cells. */
export function widthOf(lines: readonly string[]): number {
  return Math.max(0, ...lines.map((line) => stringWidth(line)));
}

function breakWord(word: string, width: number): string[] {
  const pieces: string[] = [];
  let piece = '';
  for (const part of word.split(SEPARATED)) {
    if (stringWidth(piece + part) <= width) {
      piece += part;
      continue;
    }
    if (piece !== '') pieces.push(piece);
    piece = '';
    for (const { segment } of CHARACTERS.segment(part)) {
      if (piece !== '' && stringWidth(piece + segment) > width) {
        pieces.push(piece);
        piece = '';
      }
      piece += segment;
    }
  }
  pieces.push(piece);
  return pieces;
}

/** After each separator. */
const SEPARATED = /(?<=[/_.,:-])/;

/** What a reader takes for one character is never cut (UAX #29). */
const CHARACTERS = new Intl.Segmenter('en', { granularity: 'grapheme' });
