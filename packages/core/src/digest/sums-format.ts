/**
 * One line of a checksum list as GNU coreutils writes it (manual, "md5sum
 * invocation"): hex digest, space, mode marker, name. A name that holds a
 * backslash, newline or carriage return is escaped, and the line then starts
 * with a backslash. The mode marker is always a space (text and binary are the
 * same thing outside DOS).
 *
 * @param options `zero`: end with NUL and escape nothing, as `--zero` does
 * @returns the line with its terminator
 * @example
 * formatSumsLine('cbf43926', 'a\nb'); // => '\\cbf43926  a\\nb\n'
 */
export function formatSumsLine(
  digest: string,
  path: string,
  options: { readonly zero?: boolean } = {},
): string {
  if (options.zero === true) return `${digest}  ${path}\0`;
  const escaped = escapeSumsName(path);
  return `${escaped === path ? '' : '\\'}${digest}  ${escaped}\n`;
}

function escapeSumsName(path: string): string {
  return path.replaceAll('\\', '\\\\').replaceAll('\n', '\\n').replaceAll('\r', '\\r');
}

/** The name that was escaped; null when it holds an escape coreutils does not write. */
export function unescapeSumsName(escaped: string): string | null {
  const parts: string[] = [];
  let start = 0;
  // Step by step: a pattern for the whole of a long name takes more stack than there is.
  for (let at = escaped.indexOf('\\'); at !== -1; at = escaped.indexOf('\\', start)) {
    const character = UNESCAPED[escaped.charAt(at + 1)];
    if (character === undefined) return null;
    parts.push(escaped.slice(start, at), character);
    start = at + 2;
  }
  parts.push(escaped.slice(start));
  return parts.join('');
}

const UNESCAPED: Readonly<Record<string, string>> = { '\\': '\\', n: '\n', r: '\r' };
