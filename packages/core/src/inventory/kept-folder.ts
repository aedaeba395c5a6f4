import { foldCase } from '../text/fold.js';

/** Folder on the card that files in the way are moved to; nothing on the card is ever deleted. */
export const KEPT_FOLDER = 'firmtally-kept';

const KEPT_FOLDED = `${foldCase(KEPT_FOLDER)}/`;

/** Whether an earlier run moved it out of the way; letter case does not count. */
export function isKept(path: string): boolean {
  return foldCase(path).startsWith(KEPT_FOLDED);
}
