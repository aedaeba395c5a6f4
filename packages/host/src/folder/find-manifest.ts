import { lstatSync } from 'node:fs';
import { join } from 'node:path';

/** Names a manifest is looked for by, in this order. */
const NAMES = ['firmtally.yaml', 'firmtally.yml', 'firmtally.json'];

/**
 * The manifest that lies about when none is named: `firmtally.yaml`, `.yml` or
 * `.json`, in the first of the folders that has one. Only a regular file
 * counts, so that no link leads out of a card.
 *
 * @param folders absolute, or relative to the current folder
 * @returns the folder as given, joined with the name; null when there is none
 * @example
 * findManifest(['.', 'card']); // => null
 */
export function findManifest(folders: readonly string[]): string | null {
  for (const folder of folders) {
    for (const name of NAMES) {
      const path = join(folder, name);
      if (isFile(path)) return path;
    }
  }
  return null;
}

/** What cannot be looked at is as good as not there: nobody has named it. */
function isFile(path: string): boolean {
  try {
    return lstatSync(path).isFile();
  } catch {
    return false;
  }
}
