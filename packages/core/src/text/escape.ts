/**
 * The one place where untrusted text is made fit to print. Escapes what could
 * move a cursor, recolour a terminal, reorder or hide text: C0 controls, DEL,
 * C1 controls, line separators, bidirectional controls (UAX #9), zero-width
 * and tag characters, and lone surrogates (undecodable bytes).
 */
const UNPRINTABLE =
  /[\u0000-\u001f\u007f-\u009f\u00ad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]|[\u{e0000}-\u{e007f}]|\p{Surrogate}/gu;

const SHORT: Readonly<Record<string, string>> = { '\n': '\\n', '\r': '\\r', '\t': '\\t' };

/**
 * Makes one line of printable text: `\n`, `\r`, `\t`, `\xNN`, `\u{NNNN}`; a backslash itself stays as it is.
 *
 * @example
 * escapeText('boot\u001b[31m.bin'); // => 'boot\\x1b[31m.bin'
 */
export function escapeText(text: string): string {
  return text.replace(UNPRINTABLE, (character) => {
    const short = SHORT[character];
    if (short !== undefined) return short;
    const code = character.codePointAt(0) ?? 0;
    // U+DC80..U+DCFF stand for bytes that are not UTF-8, see bytes/source.ts.
    if (code >= 0xdc80 && code <= 0xdcff) return hexByte(code - 0xdc00);
    return code <= 0xff ? hexByte(code) : `\\u{${code.toString(16)}}`;
  });
}

function hexByte(byte: number): string {
  return `\\x${byte.toString(16).padStart(2, '0')}`;
}
