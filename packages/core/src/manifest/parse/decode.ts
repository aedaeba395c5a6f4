import { markedUtf16 } from '../../text/decode.js';
import { SourceText, type Spot } from './source-text.js';
import type { ProblemList } from '../rules/problem-list.js';
import { controlCharacter, notUtf8 } from '../rules/whole-file.js';

/** Control characters are reported one by one up to this many: a binary file has thousands. */
const MAX_CONTROLS = 10;

/** The text of a manifest without its byte-order mark. Undecodable bytes become U+FFFD; UTF-16 that no mark tells gives null. */
export function decodeManifest(
  path: string,
  bytes: Uint8Array,
  problems: ProblemList,
): SourceText | null {
  if (isUnmarkedUtf16(bytes)) {
    problems.add(notUtf8, atStart(new SourceText(path, '')), {
      message: 'This file is UTF-16 without a byte-order mark; a manifest has to be UTF-8.',
      advice: 'save it again with the encoding UTF-8',
    });
    return null;
  }
  const text = decodeText(bytes);
  const source = new SourceText(path, text);
  if (text.includes('\0') && text.includes('\ufffd')) {
    problems.add(notUtf8, atStart(source), {
      message: 'This file is not text but binary data.',
      advice: 'name the manifest instead',
    });
    return null;
  }
  const offset = firstUndecodable(bytes, text);
  if (offset !== null) {
    problems.add(
      notUtf8,
      { source, range: { start: offset, end: offset + 1 }, pointer: '' },
      {
        message: 'The bytes here are not UTF-8 text.',
        advice: 'save the file with the encoding UTF-8',
      },
    );
  }
  reportControls(source, problems);
  return source;
}

/** Text as frames show it, without its byte-order mark, undecodable bytes as U+FFFD. */
export function decodeText(bytes: Uint8Array): string {
  return new TextDecoder(markedUtf16(bytes) ?? guessedUtf16(bytes) ?? 'utf-8').decode(bytes);
}

function atStart(source: SourceText): Spot {
  return { source, range: { start: 0, end: 0 }, pointer: '' };
}

/** A NUL in one of the first two bytes: no manifest in UTF-8 starts with one (YAML 1.2, 5.2). */
function guessedUtf16([a, b]: Uint8Array): 'utf-16le' | 'utf-16be' | null {
  if (a === undefined || b === undefined || (a === 0) === (b === 0)) return null;
  return b === 0 ? 'utf-16le' : 'utf-16be';
}

function isUnmarkedUtf16(bytes: Uint8Array): boolean {
  return markedUtf16(bytes) === null && guessedUtf16(bytes) !== null;
}

/** Offset of the first character that stands for undecodable bytes. */
function firstUndecodable(bytes: Uint8Array, text: string): number | null {
  if (!text.includes('\ufffd')) return null;
  // One that was written is as rare as a broken pair; both are told.
  if (markedUtf16(bytes) !== null) return text.indexOf('\ufffd');
  const hasMark = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf;
  const original = hasMark ? bytes.subarray(3) : bytes;
  const again = new TextEncoder().encode(text);
  let same = 0;
  while (same < again.length && again[same] === original[same]) same++;
  if (same === again.length && again.length === original.length) return null;
  let byteOffset = 0;
  let offset = 0;
  for (const character of text) {
    byteOffset += utf8Length(character.codePointAt(0) ?? 0);
    if (byteOffset > same) return offset;
    offset += character.length;
  }
  return Math.max(0, offset - 1);
}

function utf8Length(code: number): number {
  if (code < 0x80) return 1;
  if (code < 0x800) return 2;
  return code < 0x10000 ? 3 : 4;
}

function reportControls(source: SourceText, problems: ProblemList): void {
  let count = 0;
  for (const match of source.text.matchAll(/[\u0000-\u0008\u000b\u000c\u000e-\u001f]/g)) {
    const code = (match[0].codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, '0');
    problems.add(
      controlCharacter,
      { source, range: { start: match.index, end: match.index + 1 }, pointer: '' },
      {
        message: `The control character U+${code} cannot stand in a manifest.`,
        advice: 'delete it',
      },
    );
    if (++count === MAX_CONTROLS) return;
  }
}
