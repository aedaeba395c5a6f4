import { DIGEST_LENGTH, type Algorithm, type Digests } from '../../bytes/digests.js';
import { leftOutFor, type LeftOutReason } from '../../facts/left-out.js';
import { plainRow, type LineOutcome } from './model.js';
import { findName } from './loose-name.js';
import { lexLine, type Token } from './loose-tokens.js';
import { toPath, trimMarks } from './name.js';
import { roundedNote, wrongLength, wrongLengthOf } from './values.js';
import { note, type Note } from '../note.js';

/** Longer lines are no text a person posted; it also bounds the work a line can be. */
const MAX_LINE = 4096;

/**
 * Reads loose text: a line with one file's name and at least one checksum, in
 * any order, with a size in bytes where one stands. Never guesses: what may be
 * read in two ways is left out and said so, or is the reason why the line is not used.
 */
export function readLooseLine(line: string): LineOutcome {
  if (line.length > MAX_LINE) return leftOutFor('long-line', { limit: MAX_LINE });
  const tokens = lexLine(line);
  const bad = tokens.find(({ kind }) => kind === 'bad-hex');
  const digests = digestsOf(tokens);
  if (bad?.wanted !== undefined) return wrongLengthOf(bad.wanted, bad.value);
  if (bad !== undefined) return wrongLength(bad.value);
  if ('code' in digests) return digests;
  const notes: Note[] = [];
  const chosen = withoutDoubt(digests, tokens, notes);
  if ('code' in chosen) return chosen;
  if (Object.keys(chosen.digests).length === 0) return noChecksum(line);
  const name = findName(line, tokens);
  if ('code' in name) return name;
  const to = toPath(name.name);
  if ('code' in to) return to;
  const size = chosen.size ?? sizeOf(tokens, notes);
  if (tokens.some(({ kind }) => kind === 'other-hex')) {
    notes.push(
      note('other-checksum', 'A checksum of a kind that a manifest cannot hold is left out.'),
    );
  }
  return plainRow(to.path, chosen.digests, size, notes, optionalOf(tokens));
}

/** Whether a word of the line says that the file is optional; null when none does. */
function optionalOf(tokens: readonly Token[]): boolean | null {
  const words = tokens
    .filter(({ kind }) => kind === 'word')
    .map(({ value }) => trimMarks(value, '([{*', ')]}*.:').toLowerCase());
  return words.includes('optional') && !words.includes('not') ? true : null;
}

/** The digests by algorithm, or why there is no telling. */
function digestsOf(tokens: readonly Token[]): Map<Algorithm, string> | LeftOutReason {
  const found = new Map<Algorithm, string>();
  for (const token of tokens) {
    if (token.kind !== 'digest' || token.algorithm === undefined) continue;
    const before = found.get(token.algorithm);
    if (before !== undefined && before !== token.value) {
      return leftOutFor('two-checksums', { algorithm: token.algorithm, of: 'line' });
    }
    found.set(token.algorithm, token.value);
  }
  return found;
}

/**
 * Settles runs of 8 plain digits, which may be a CRC-32 or a size. Alone they
 * are the CRC-32 that the line needs; beside a size they are none.
 */
function withoutDoubt(
  sure: ReadonlyMap<Algorithm, string>,
  tokens: readonly Token[],
  notes: Note[],
): { digests: Digests; size: number | null } | LeftOutReason {
  const digests: Partial<Record<Algorithm, string>> = Object.fromEntries(sure);
  const doubtful = tokens.filter(({ kind }) => kind === 'crc-or-size');
  const [first, second] = doubtful;
  if (first === undefined) return { digests, size: null };
  const hasSize = tokens.some(({ kind }) => kind === 'bytes' || kind === 'number');
  if (sure.has('crc32')) {
    if (hasSize || second !== undefined) return { digests, size: left(doubtful, notes) };
    return { digests, size: Number(first.value) };
  }
  if (second === undefined && (sure.size === 0 || hasSize)) {
    return { digests: { ...digests, crc32: first.value }, size: null };
  }
  if (sure.size === 0) {
    return leftOutFor('checksum-or-size', { numbers: [first.value, second?.value ?? ''] });
  }
  return { digests, size: left(doubtful, notes) };
}

function left(doubtful: readonly Token[], notes: Note[]): null {
  for (const { value } of doubtful) {
    notes.push(note('doubtful-number', `"${value}" may be a CRC-32 or a size, so it is left out.`));
  }
  return null;
}

function noChecksum(line: string): LeftOutReason {
  // What may have been meant for one: digits and letters mixed, or at least 6 digits.
  const near = /(?<![A-Za-z0-9_.])(?=[a-f]*[0-9])[0-9a-f]{6,}(?![A-Za-z0-9_.])/iu.exec(line)?.[0];
  if (near !== undefined && near.length !== DIGEST_LENGTH.crc32 && /[a-f]/iu.test(near)) {
    return wrongLength(near);
  }
  return leftOutFor('no-checksum', { of: 'line' });
}

/** A size in bytes, when just one stands there. */
function sizeOf(tokens: readonly Token[], notes: Note[]): number | null {
  const sure = new Set(tokens.filter(({ kind }) => kind === 'bytes').map(({ value }) => value));
  const bare = new Set(tokens.filter(({ kind }) => kind === 'number').map(({ value }) => value));
  const from = sure.size > 0 ? sure : bare;
  const [size] = from;
  if (from.size > 1) {
    const sizes = [...from].map((each) => `"${each}"`).join(' and ');
    notes.push(note('doubtful-size', `${sizes} may each be the size, so none is used.`));
    return null;
  }
  if (size !== undefined) return Number(size);
  for (const { kind, value } of tokens) {
    if (kind === 'rounded') notes.push(roundedNote(value));
    if (kind === 'place-or-size') {
      const message = `"${value}" may be a size or a place in a numbered list, so it is left out.`;
      notes.push(note('doubtful-size', message));
    }
  }
  return null;
}
