import { escapeText } from '../../text/escape.js';
import { graphemes } from '../../text/graphemes.js';
import type { SourceText } from '../parse/source-text.js';
import type { Problem } from '../problem.js';

/** The line a problem is on, and which part of it is meant. */
export interface ProblemFrame {
  /** From 1. */
  readonly lineNumber: number;
  /** As written, without its line break; not fit to print. */
  readonly line: string;
  /** UTF-16 offsets into the line; both its length when the end of the line is meant. */
  readonly from: number;
  readonly to: number;
}

/** Null for an empty file, which has nothing to show. */
export function problemFrame(problem: Problem, source: SourceText): ProblemFrame | null {
  const line = source.line(problem.line);
  if (line === '' && source.text === '') return null;
  return {
    lineNumber: problem.line,
    line,
    from: Math.min(problem.column - 1, line.length),
    to: problem.endLine === problem.line ? problem.endColumn - 1 : line.length,
  };
}

/** How much of a frame's line there is room for, in whatever a character takes where it is shown. */
export interface FrameRoom {
  readonly room: number;
  /** Room that a printable text takes; by default one for each user-perceived character. */
  readonly sizeOf?: (text: string) => number;
  /** Stands for what is cut off. */
  readonly ellipsis: string;
}

/** A frame's line, or as much of it around what is meant as there is room for: escaped, tabs as spaces. */
export interface FittedFrame {
  readonly before: string;
  /** Empty at the end of a line. */
  readonly meant: string;
  readonly after: string;
}

export function fitFrame({ line, from, to }: ProblemFrame, fit: FrameRoom): FittedFrame {
  const { sizeOf = characters, ellipsis } = fit;
  const shown = window(line, from, { ...fit, sizeOf });
  const textOf = (pieces: readonly Piece[]): string => pieces.map(({ text }) => text).join('');
  return {
    before:
      (shown.cutBefore ? ellipsis : '') +
      textOf(shown.pieces.filter(({ offset }) => offset < from)),
    meant: textOf(shown.pieces.filter(({ offset }) => offset >= from && offset < to)),
    after:
      textOf(shown.pieces.filter(({ offset }) => offset >= from && offset >= to)) +
      (shown.cutAfter ? ellipsis : ''),
  };
}

/** One user-perceived character as it is shown. */
interface Piece {
  readonly text: string;
  readonly size: number;
  /** UTF-16 offset in its line. */
  readonly offset: number;
}

interface Window {
  readonly cutBefore: boolean;
  readonly pieces: readonly Piece[];
  readonly cutAfter: boolean;
}

/** The whole line, or as much of it around an offset as there is room for. */
function window(line: string, offset: number, fit: Required<FrameRoom>): Window {
  const { room, sizeOf } = fit;
  // Every piece takes room or joins its neighbour, so nothing beyond this can be shown.
  const nearStart = safeCut(line, offset - room * 4);
  const near = line.slice(nearStart, safeCut(line, offset + room * 8));
  const pieces = piecesOf(near, nearStart, sizeOf);
  if (near.length === line.length && total(pieces) <= room) {
    return { cutBefore: false, pieces, cutAfter: false };
  }
  const at = pieces.findIndex((piece) => piece.offset + 1 > offset);
  const middle = at === -1 ? pieces.length : at;
  // A third of the room in front shows what it belongs to.
  let start = middle;
  for (let used = 0; start > 0; start--) {
    used += pieces[start - 1]?.size ?? 0;
    if (used > Math.floor(room / 3)) break;
  }
  const cut = sizeOf(fit.ellipsis);
  const cutBefore = start > 0 || nearStart > 0;
  const left = room - (cutBefore ? cut : 0) - cut;
  let end = start;
  for (let used = 0; end < pieces.length; end++) {
    used += pieces[end]?.size ?? 0;
    if (used > left) break;
  }
  // Near the end of the line there is room to show more of what comes before.
  if (end === pieces.length) {
    let spare = left - total(pieces.slice(start, end));
    for (; start > 0; start--) {
      spare -= pieces[start - 1]?.size ?? 0;
      if (spare < 0) break;
    }
  }
  const cutAfter = end < pieces.length || nearStart + near.length < line.length;
  return { cutBefore, pieces: pieces.slice(start, end), cutAfter };
}

/** An offset inside the line that does not part a surrogate pair. */
function safeCut(line: string, offset: number): number {
  const inside = Math.max(0, Math.min(offset, line.length));
  const unit = line.charCodeAt(inside);
  return unit >= 0xdc00 && unit <= 0xdfff ? inside - 1 : inside;
}

const TAB = '    ';

const PRINTABLE_ASCII = /^[ -~]*$/;

function piecesOf(text: string, base: number, sizeOf: (text: string) => number): Piece[] {
  return Array.from(graphemes(text), ({ segment, index }) => {
    const shown = segment === '\t' ? TAB : escapeText(segment);
    return { text: shown, size: sizeOf(shown), offset: base + index };
  });
}

function total(pieces: readonly Piece[]): number {
  return pieces.reduce((sum, piece) => sum + piece.size, 0);
}

/** How many user-perceived characters a text has. */
export function characters(text: string): number {
  // Counted for every character of every frame, and a segmenter is slow to start.
  if (PRINTABLE_ASCII.test(text)) return text.length;
  return Array.from(graphemes(text)).length;
}
