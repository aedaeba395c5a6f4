/**
 * A value as JSON text, two-space indented, ending in a newline. What could
 * upset a terminal (see {@link escapeText}) is written as `\uNNNN`, which any
 * JSON reader turns back; so are lone surrogates, so that the text is valid UTF-8.
 * `replacer` is that of `JSON.stringify`.
 *
 * @example
 * jsonText(['\u001b']); // => '[\n  "\\u001b"\n]\n'
 */
export function jsonText(
  value: unknown,
  replacer?: (key: string, value: unknown) => unknown,
): string {
  const text = JSON.stringify(value, replacer, 2).replaceAll(UNPRINTABLE, (character) =>
    [...Array(character.length).keys()]
      .map((unit) => `\\u${character.charCodeAt(unit).toString(16).padStart(4, '0')}`)
      .join(''),
  );
  return `${text}\n`;
}

/** As in escapeText, without C0 controls and lone surrogates: those JSON.stringify escapes itself. */
const UNPRINTABLE =
  /[\u007f-\u009f\u00ad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]|[\u{e0000}-\u{e007f}]/gu;
