import stringWidth from 'string-width';
import { escapeText } from '../../text/escape.js';
import { graphemes } from '../../text/graphemes.js';
import type { SourceText } from '../parse/source-text.js';
import type { Problem } from '../problem.js';
import type { ProblemStyle } from './fill.js';

/** One user-perceived character as it is shown. */
interface Piece {
  readonly text: string;
  /** Terminal cells. */
  readonly width: number;
  /** UTF-16 offset in its line. */
  readonly offset: number;
}

const TAB = '    ';

/** `12 | source` and, below it, `^~~~` under what is meant. Nothing for an empty file. */
export function frame(
  problem: Problem,
  source: SourceText,
  ascii: boolean,
  columns: number,
  paint: (style: ProblemStyle, text: string) => string,
): string[] {
  const line = source.line(problem.line);
  if (line === '' && source.text === '') return [];
  const number = String(problem.line);
  const gutter = ' '.repeat(number.length);
  const width = Math.max(MIN_WIDTH, columns - number.length - ' | '.length);
  const from = Math.min(problem.column - 1, line.length);
  const to = problem.endLine === problem.line ? problem.endColumn - 1 : line.length;
  const shown = window(line, from, width, ascii ? '...' : '…');
  const before = cells(shown.pieces.filter((piece) => piece.offset < from));
  const marked = cells(shown.pieces.filter(({ offset }) => offset >= from && offset < to));
  const marker = `^${'~'.repeat(Math.max(0, marked - 1))}`;
  const text = shown.lead + shown.pieces.map((piece) => piece.text).join('') + shown.trail;
  const indent = ' '.repeat(stringWidth(shown.lead) + before);
  return [
    `${paint('dim', `${number} |`)} ${text}`.trimEnd(),
    `${paint('dim', `${gutter} |`)} ${indent}${paint('cyan', marker)}`,
  ];
}

/** Cells below which a frame would show nothing of use. */
const MIN_WIDTH = 16;

interface Window {
  readonly lead: string;
  readonly pieces: readonly Piece[];
  readonly trail: string;
}

/** The whole line, or as much of it around an offset as fits. */
function window(line: string, offset: number, width: number, ellipsis: string): Window {
  // Every piece is at least a cell wide or joins its neighbour, so nothing beyond this can be shown.
  const nearStart = safeCut(line, offset - width * 4);
  const near = line.slice(nearStart, safeCut(line, offset + width * 8));
  const pieces = piecesOf(near, nearStart);
  const whole = near.length === line.length;
  if (whole && cells(pieces) <= width) return { lead: '', pieces, trail: '' };
  const at = pieces.findIndex((piece) => piece.offset + 1 > offset);
  const middle = at === -1 ? pieces.length : at;
  // A third of the width in front shows what it belongs to.
  let start = middle;
  for (let used = 0; start > 0; start--) {
    used += pieces[start - 1]?.width ?? 0;
    if (used > Math.floor(width / 3)) break;
  }
  const lead = start > 0 || nearStart > 0 ? ellipsis : '';
  const room = width - lead.length - ellipsis.length;
  let end = start;
  for (let used = 0; end < pieces.length; end++) {
    used += pieces[end]?.width ?? 0;
    if (used > room) break;
  }
  // Near the end of the line there is room to show more of what comes before.
  if (end === pieces.length) {
    let spare = room - cells(pieces.slice(start, end));
    for (; start > 0; start--) {
      spare -= pieces[start - 1]?.width ?? 0;
      if (spare < 0) break;
    }
  }
  const cut = end < pieces.length || nearStart + near.length < line.length;
  return { lead, pieces: pieces.slice(start, end), trail: cut ? ellipsis : '' };
}

/** An offset inside the line that does not part a surrogate pair. */
function safeCut(line: string, offset: number): number {
  const inside = Math.max(0, Math.min(offset, line.length));
  const unit = line.charCodeAt(inside);
  return unit >= 0xdc00 && unit <= 0xdfff ? inside - 1 : inside;
}

function piecesOf(text: string, base: number): Piece[] {
  return Array.from(graphemes(text), ({ segment, index }) => {
    const shown = segment === '\t' ? TAB : escapeText(segment);
    return { text: shown, width: stringWidth(shown), offset: base + index };
  });
}

function cells(pieces: readonly Piece[]): number {
  return pieces.reduce((sum, piece) => sum + piece.width, 0);
}
