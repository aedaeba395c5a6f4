import { existsSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { withSlashes } from '@firmtally/host';
import type { CheckedList } from './check-lists.js';
import { STDIN } from './read-input.js';

/** Names looked for; the first ones tell as much as all. */
const MAX_LOOKED_FOR = 100;

/**
 * The list's folder, with '/' separators, when the list should be checked
 * there: none of its files is in the current folder, but some are beside the
 * list. Else null.
 */
export function folderBeside({ list, rows }: CheckedList, cwd: string): string | null {
  if (list === STDIN || rows.length === 0) return null;
  if (rows.some(({ status }) => status !== 'missing')) return null;
  const folder = dirname(list);
  const absolute = resolve(cwd, folder);
  const isBeside = rows
    .slice(0, MAX_LOOKED_FOR)
    .some(({ entry }) => existsSync(resolve(absolute, entry.path)));
  if (!isBeside) return null;
  return withSlashes(folder);
}
