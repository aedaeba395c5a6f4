import { escapeText } from '@firmtally/core';

/** A path as a shell wants it in a command that people paste: in quotes when there is more in it than plain characters. */
export function quoted(path: string): string {
  return /^[\w./:\\@+-]+$/u.test(path) ? path : `"${escapeText(path)}"`;
}
