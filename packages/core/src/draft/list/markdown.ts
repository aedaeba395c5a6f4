import { readHeader, type Header } from './header.js';

/** The line under a Markdown table's header (GitHub Flavored Markdown, 4.10). */
const DELIMITER_ROW = /^[ \t]*\|?[ \t]*:?-+:?[ \t]*(?:\|[ \t]*:?-+:?[ \t]*)*\|?[ \t]*$/u;

/** A longer line is none: a pattern repeated so often takes more stack than there is. */
const MAX_ROW = 4096;

/** A table's header when this line and the next are one; null when not, or when it says nothing of checksums. */
export function markdownHeader(line: string, next: string | undefined): Header | null {
  if (next === undefined || next.length > MAX_ROW || !line.includes('|')) return null;
  return DELIMITER_ROW.test(next) ? readHeader(markdownCells(line)) : null;
}

/** The cells of a row as text, without Markdown's marks. */
export function markdownCells(line: string): string[] {
  const trimmed = line.trim();
  const cells: string[] = [];
  let cell = '';
  for (let at = trimmed.startsWith('|') ? 1 : 0; at < trimmed.length; at++) {
    const character = trimmed.charAt(at);
    if (character === '\\' && trimmed.charAt(at + 1) === '|') {
      // The one escape that holds in code as well.
      cell += cell.includes('`') ? '|' : '\\|';
      at++;
    } else if (character === '|') {
      cells.push(plainCell(cell));
      cell = '';
    } else cell += character;
  }
  if (cell.trim() !== '' || !trimmed.endsWith('|')) cells.push(plainCell(cell));
  return cells;
}

/** A cell's text: code as it stands, else without emphasis, links, line breaks and escapes. */
function plainCell(cell: string): string {
  const text = cell.trim().replaceAll(/<br ?\/?>/giu, ' ');
  const code = /^\*{0,2}(`{1,3}) ?([^`]*?) ?\1\*{0,2}$/u.exec(text)?.[2];
  if (code !== undefined) return code.trim();
  return text
    .replaceAll(/\[([^[\]]{0,255})\]\([^()\s]{0,2000}\)/gu, '$1')
    .replaceAll(/\*\*([^*]{0,2000})\*\*/gu, '$1')
    .replaceAll(/(?<!\\)`([^`]{0,2000})`/gu, '$1')
    .replaceAll(/\\([!-/:-@[-`{-~])/gu, '$1')
    .trim();
}
