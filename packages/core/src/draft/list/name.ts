import { leftOutFor, type LeftOutReason } from '../../facts/left-out.js';
import { isSafePath } from '../../manifest/safe-path.js';

/** A listed name as a manifest's path, or why it cannot be one. */
export type NamedPath = { readonly path: string } | LeftOutReason;

/**
 * Makes a manifest's path of a name in a list. `./` in front goes; a backslash
 * is taken for Windows' separator, unless the name was escaped and so holds
 * the character itself.
 */
export function toPath(name: string, escaped = false): NamedPath {
  const slashed = escaped ? name : name.replaceAll('\\', '/');
  const path = withoutDots(slashed.replaceAll(/\/{2,}/gu, '/'));
  if (path === '') return leftOutFor('no-name', { of: 'line' });
  if (path.endsWith('/')) return leftOutFor('folder-name', {});
  if (isSafePath(path)) return { path };
  return leftOutFor('name-not-held', { why: whyNotHeld(path) });
}

/** Without `./` in front, however often it stands there. */
function withoutDots(path: string): string {
  let start = 0;
  while (path.startsWith('./', start)) start += 2;
  return path.slice(start);
}

function whyNotHeld(path: string): LeftOutReason<'name-not-held'>['why'] {
  if (path.startsWith('/') || /^[A-Za-z]:/u.test(path)) return 'absolute';
  if (path.split('/').includes('..')) return 'outside';
  if (path.includes('\\')) return 'backslash';
  return /\p{Surrogate}/u.test(path) ? 'not-utf8' : null;
}

/**
 * Whether a word looks like a file's name: it has an ending such as `.bin`.
 * Plain numbers, versions (`v1.2`) and web addresses do not.
 */
export function looksLikeFile(word: string): boolean {
  return (
    /[^\s.]\.[A-Za-z0-9]{1,8}$/u.test(word) &&
    /[A-Za-z]/u.test(word) &&
    !/^v?[0-9]+(?:\.[0-9]+)*$/iu.test(word) &&
    !word.includes('://')
  );
}

/** A text without any of these characters at its start and end; linear, as a pattern for the end is not. */
export function trimMarks(text: string, leading: string, trailing: string): string {
  let start = 0;
  let end = text.length;
  while (start < end && leading.includes(text.charAt(start))) start++;
  while (end > start && trailing.includes(text.charAt(end - 1))) end--;
  return text.slice(start, end);
}
