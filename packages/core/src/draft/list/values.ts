import { ALGORITHMS, DIGEST_LENGTH, type Algorithm } from '../../bytes/digests.js';
import { leftOutFor, type LeftOutReason } from '../../facts/left-out.js';
import { note, type Note } from '../note.js';

/** Words people write before or above a digest, and what they mean. */
const ALGORITHM_WORDS: ReadonlyMap<string, Algorithm> = new Map([
  ['crc', 'crc32'],
  ['crc32', 'crc32'],
  ['md5', 'md5'],
  ['sha1', 'sha1'],
  ['sha256', 'sha256'],
  // As OpenSSL 3 names it.
  ['sha2256', 'sha256'],
]);

/** `CRC-32`, `SHA_1`, `md5sum` and the like; null when it is none of them. */
export function algorithmNamed(word: string): Algorithm | null {
  const plain = word.toLowerCase().replaceAll(/[-_ ]/gu, '');
  return ALGORITHM_WORDS.get(plain) ?? ALGORITHM_WORDS.get(plain.replace(/sum$/u, '')) ?? null;
}

/** The algorithm whose digests have so many hex digits. */
export function algorithmOfLength(digits: number): Algorithm | null {
  return ALGORITHMS.find((name) => DIGEST_LENGTH[name] === digits) ?? null;
}

/** Digests that a manifest does not hold, by their hex digits (FIPS 180-4). */
const OTHER_LENGTHS: ReadonlyMap<number, string> = new Map([
  [56, 'SHA-224'],
  [96, 'SHA-384'],
  [128, 'SHA-512'],
]);

export function otherAlgorithmOfLength(digits: number): string | null {
  return OTHER_LENGTHS.get(digits) ?? null;
}

/** Why hex digits of a wrong number are no checksum. */
export function wrongLength(hex: string): LeftOutReason {
  const other = otherAlgorithmOfLength(hex.length);
  if (other !== null) return leftOutFor('other-algorithm', { algorithm: other });
  return ofLength(hex, null, false);
}

/** The same where a column or a word says which checksum it is to be. */
export function wrongLengthOf(wanted: Algorithm, hex: string, zerosLost = false): LeftOutReason {
  return ofLength(hex, wanted, zerosLost);
}

function ofLength(hex: string, wanted: Algorithm | null, zerosLost: boolean): LeftOutReason {
  const shown = hex.length > 12 ? `${hex.slice(0, 12)}…` : hex;
  return leftOutFor('wrong-length', { digits: hex.length, shown, wanted, zerosLost });
}

/** `1c2d3e4f` or `0x1C2D3E4F` as lower-case digits; null when it is not hex. */
export function hexDigits(text: string): string | null {
  const found = /^(?:0x)?([0-9a-f]+)$/iu.exec(text)?.[1];
  return found?.toLowerCase() ?? null;
}

/** What a text says of a size. */
export type ReadSize = { readonly bytes: number } | 'rounded' | null;

/** A number with its thousands set apart by one kind of mark, or without; an apostrophe is used in Switzerland. */
const NUMBER = '(?:[0-9]{1,3}(?:([,.\u0027\u2019 \u00a0\u202f])[0-9]{3})(?:\\1[0-9]{3})*|[0-9]+)';
const WHOLE = new RegExp(`^(${NUMBER})\\s*(?:b|bytes?|octets?)?$`, 'iu');
const IN_BRACKETS = new RegExp(`\\((${NUMBER})\\s*(?:b|bytes?|octets?)\\)`, 'iu');
const ROUNDED = /^~?[0-9]+(?:[.,][0-9]+)?\s*[kmg](?:i?b|bytes?|bits?)?$/iu;
const HEX_NUMBER = /^0x[0-9a-f]{1,13}$/iu;

/**
 * A size as people write it. Only whole bytes count: `512 KB` is 524,288 to
 * one and 512,000 to another, and mostly rounded besides. Null when it is no size.
 */
export function readSize(text: string): ReadSize {
  const trimmed = text.trim();
  if (trimmed.length > 60) return null;
  const found = WHOLE.exec(trimmed)?.[1] ?? IN_BRACKETS.exec(trimmed)?.[1];
  if (found !== undefined) {
    const digits = found.replaceAll(/[^0-9]/gu, '');
    const bytes = Number(digits);
    return Number.isSafeInteger(bytes) ? { bytes } : null;
  }
  if (HEX_NUMBER.test(trimmed)) return { bytes: Number(trimmed) };
  return ROUNDED.test(trimmed) ? 'rounded' : null;
}

/** Said of a size that is not in bytes. */
export function roundedNote(text: string): Note {
  return note('rounded-size', `The size "${text.trim()}" is rounded, so it is left out.`);
}
