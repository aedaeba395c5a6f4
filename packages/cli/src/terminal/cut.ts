import { graphemes } from '@firmtally/core';
import stringWidth from 'string-width';

/** Code units looked at; a longer name is cut to its end first. */
const MAX_UNITS = 512;

/** The end of a printable text in at most `width` terminal cells, with an ellipsis for what was cut off. */
export function cutStart(text: string, width: number, ascii: boolean): string {
  if (text.length <= MAX_UNITS && stringWidth(text) <= width) return text;
  const mark = ascii ? '...' : '…';
  let room = width - mark.length;
  if (room <= 0) return '';
  const clusters = [...graphemes(text.slice(-MAX_UNITS))];
  let start = clusters.length;
  while (start > 0) {
    const cells = stringWidth(clusters[start - 1]?.segment ?? '');
    if (cells > room) break;
    room -= cells;
    start -= 1;
  }
  return (
    mark +
    clusters
      .slice(start)
      .map(({ segment }) => segment)
      .join('')
  );
}
