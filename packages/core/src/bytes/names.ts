/**
 * File names as bytes and as text. On POSIX a name is any bytes but '/' and
 * NUL; a byte 0xNN that is not part of valid UTF-8 becomes the lone surrogate
 * U+DCNN (as PEP 383 does), which UTF-8 itself never yields, so that the way
 * back is exact.
 */

const strict = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });
const encoder = new TextEncoder();

/**
 * Bytes of a name to text. Every distinct byte string gives a distinct text.
 *
 * @example
 * decodeName(Uint8Array.of(0x61, 0xff)); // => 'a\udcff'
 */
export function decodeName(bytes: Uint8Array): string {
  try {
    return strict.decode(bytes);
  } catch {
    // Not UTF-8 as a whole: find the parts that are.
  }
  let text = '';
  let start = 0;
  while (start < bytes.length) {
    const length = sequenceLength(bytes, start);
    text +=
      length === 0
        ? String.fromCharCode(0xdc00 + (bytes[start] ?? 0))
        : strict.decode(bytes.subarray(start, start + length));
    start += Math.max(1, length);
  }
  return text;
}

/**
 * The inverse of {@link decodeName}. Any other lone surrogate becomes U+FFFD, as TextEncoder does.
 *
 * @example
 * [...encodeName('a\udcff')]; // => [0x61, 0xff]
 */
export function encodeName(name: string): Uint8Array {
  if (!UNDECODABLE.test(name)) return encoder.encode(name);
  const parts: Uint8Array[] = [];
  for (const part of name.split(UNDECODABLE_RUN)) {
    parts.push(
      UNDECODABLE.test(part)
        ? Uint8Array.from(part, (character) => character.charCodeAt(0) - 0xdc00)
        : encoder.encode(part),
    );
  }
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let offset = 0;
  for (const part of parts) {
    bytes.set(part, offset);
    offset += part.length;
  }
  return bytes;
}

// With the u flag a pair of surrogates is one character, so only lone ones are met.
const UNDECODABLE = /[\udc80-\udcff]/u;
const UNDECODABLE_RUN = /([\udc80-\udcff]+)/u;

/** Whether a name holds bytes that are not UTF-8. */
export function hasUndecodableBytes(name: string): boolean {
  return UNDECODABLE.test(name);
}

/** Length of the well-formed UTF-8 sequence at `start` (Unicode 17, table 3-7), 0 when there is none. */
function sequenceLength(bytes: Uint8Array, start: number): number {
  const first = bytes[start] ?? 0;
  if (first < 0x80) return 1;
  const length = first < 0xc2 ? 0 : first < 0xe0 ? 2 : first < 0xf0 ? 3 : first < 0xf5 ? 4 : 0;
  for (let index = 1; index < length; index++) {
    const byte = bytes[start + index] ?? 0;
    if ((byte & 0xc0) !== 0x80) return 0;
    if (index > 1) continue;
    // Overlong forms, surrogates, and what is past U+10FFFF.
    if (first === 0xe0 && byte < 0xa0) return 0;
    if (first === 0xed && byte > 0x9f) return 0;
    if (first === 0xf0 && byte < 0x90) return 0;
    if (first === 0xf4 && byte > 0x8f) return 0;
  }
  return length;
}
