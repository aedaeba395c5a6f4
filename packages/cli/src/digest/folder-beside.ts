import { existsSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import type { CheckedList } from '@firmtally/core';
import { withSlashes } from '@firmtally/host/internal';

/** The argument that stands for standard input. */
const STDIN = '-';

/** Names looked for; the first ones tell as much as all. */
const MAX_LOOKED_FOR = 100;

/**
 * The list's folder, with '/' separators, when the list should be checked
 * there: none of its files is in the current folder, but some are beside the
 * list. Else null.
 */
export function folderBeside({ path, lines }: CheckedList, cwd: string): string | null {
  if (path === STDIN || lines.length === 0) return null;
  if (lines.some(({ status }) => status !== 'missing')) return null;
  const folder = dirname(path);
  const absolute = resolve(cwd, folder);
  const isBeside = lines
    .slice(0, MAX_LOOKED_FOR)
    .some((line) => existsSync(resolve(absolute, line.path)));
  if (!isBeside) return null;
  return withSlashes(folder);
}
