import type { Algorithm } from '../bytes/digests.js';

/** `1 byte`, `2 bytes`. */
export function bytes(count: number): string {
  return count === 1 ? '1 byte' : `${String(count)} bytes`;
}

/** `a`, `a or b`, `a, b or c`. */
export function listed(items: readonly string[], conjunction: 'or' | 'and'): string {
  const last = items.at(-1) ?? '';
  if (items.length < 2) return last;
  return `${items.slice(0, -1).join(', ')} ${conjunction} ${last}`;
}

/** A name as somebody wrote it, so that one sees where it ends. */
export function quoted(name: string): string {
  return `"${name}"`;
}

/** A message at the end of a sentence: with a full stop. */
export function stopped(message: string): string {
  return /[.!?]$/.test(message) ? message : `${message}.`;
}

/** How people write what a manifest gives of a dump. */
export function valueName(value: 'size' | Algorithm): string {
  return VALUE_NAMES[value];
}

const VALUE_NAMES: Readonly<Record<'size' | Algorithm, string>> = {
  size: 'the size',
  crc32: 'the CRC-32',
  md5: 'the MD5',
  sha1: 'the SHA-1',
  sha256: 'the SHA-256',
};
