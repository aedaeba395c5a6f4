import { decodeName } from '../bytes/names.js';

/** The UTF-16 that a byte-order mark says a text is in (Unicode 17, 23.8); null for UTF-8 or none. */
export function markedUtf16([a, b]: Uint8Array): 'utf-16le' | 'utf-16be' | null {
  if (a === 0xff && b === 0xfe) return 'utf-16le';
  return a === 0xfe && b === 0xff ? 'utf-16be' : null;
}

/**
 * A text a person wrote or a shell saved, without its byte-order mark: UTF-16
 * where one says so (what PowerShell's `>` writes), else UTF-8. Bytes that are
 * not UTF-8 become lone surrogates, as in names, so that nothing is lost.
 */
export function decodeWritten(bytes: Uint8Array): string {
  const utf16 = markedUtf16(bytes);
  if (utf16 !== null) return new TextDecoder(utf16).decode(bytes);
  return decodeName(bytes).replace(/^\ufeff/u, '');
}
