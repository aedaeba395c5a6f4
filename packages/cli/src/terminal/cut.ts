import { graphemes } from '@firmtally/core/internal';
import stringWidth from 'string-width';

/** Code units looked at, at either end of a longer text. */
const MAX_UNITS = 512;

/** Cells that a printable text takes. */
export function cellsOf(text: string): number {
  // What nearly every text is made of has one cell for each character.
  return ASCII.test(text) ? text.length : stringWidth(text);
}

const ASCII = /^[ -~]*$/;

/**
 * A printable text in at most `width` terminal cells, with an ellipsis for what
 * was cut out of its middle: a path tells most by its first folder and its name.
 */
export function cutMiddle(text: string, width: number, ascii: boolean): string {
  if (text.length <= 2 * MAX_UNITS && cellsOf(text) <= width) return text;
  const mark = ascii ? '...' : '…';
  const room = width - mark.length;
  if (room <= 0) return '';
  const end = taken([...graphemes(text.slice(-MAX_UNITS))].reverse(), Math.ceil((room * 2) / 3));
  const start = taken([...graphemes(text.slice(0, MAX_UNITS))], room - cellsOf(end.join('')));
  return start.join('') + mark + end.reverse().join('');
}

/** As many of the first as fit. */
function taken(clusters: readonly { readonly segment: string }[], room: number): string[] {
  const fitting: string[] = [];
  let left = room;
  for (const { segment } of clusters) {
    left -= cellsOf(segment);
    if (left < 0) break;
    fitting.push(segment);
  }
  return fitting;
}
