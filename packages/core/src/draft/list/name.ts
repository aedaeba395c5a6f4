import { isSafePath } from '../../manifest/safe-path.js';

/** A listed name as a manifest's path, or why it cannot be one. */
export type NamedPath = { readonly path: string } | { readonly reason: string };

/**
 * Makes a manifest's path of a name in a list. `./` in front goes; a backslash
 * is taken for Windows' separator, unless the name was escaped and so holds
 * the character itself.
 */
export function toPath(name: string, escaped = false): NamedPath {
  const slashed = escaped ? name : name.replaceAll('\\', '/');
  const path = withoutDots(slashed.replaceAll(/\/{2,}/gu, '/'));
  if (path === '') return { reason: 'The line names no file.' };
  if (path.endsWith('/')) return { reason: 'The name is that of a folder.' };
  if (isSafePath(path)) return { path };
  return { reason: `A manifest cannot hold this name${why(path)}.` };
}

/** Without `./` in front, however often it stands there. */
function withoutDots(path: string): string {
  let start = 0;
  while (path.startsWith('./', start)) start += 2;
  return path.slice(start);
}

function why(path: string): string {
  if (path.startsWith('/') || /^[A-Za-z]:/u.test(path))
    return ', as it starts at the top of a disk';
  if (path.split('/').includes('..')) return ', as it leads out of the folder';
  if (path.includes('\\')) return ', as it holds a backslash';
  if (/\p{Surrogate}/u.test(path)) return ', as it is not UTF-8; save the list as UTF-8';
  return '';
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
