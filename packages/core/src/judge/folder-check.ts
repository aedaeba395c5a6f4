import { isReadable, type Entry } from '../bytes/source.js';
import type { Inventory } from '../inventory/inventory.js';
import type { FolderCheck } from '../manifest/model.js';
import type { FolderRow } from '../report/model.js';
import { foldCase } from '../text/fold.js';
import { baseName } from '../text/path.js';

/** Counts what a folder holds, at any depth, and how many of those files have a picture. */
export function checkFolder(check: FolderCheck, inventory: Inventory): FolderRow {
  const files = contentOf(check, inventory);
  const { pictures } = check;
  return {
    path: check.path,
    extensions: check.extensions,
    atLeast: check.atLeast,
    found: files.length,
    enough: files.length >= check.atLeast,
    pictures:
      pictures === null
        ? null
        : {
            folder: pictures.folder,
            extensions: pictures.extensions,
            found: withPicture(files, check, picturesOf(check, inventory)),
          },
  };
}

/** The files that a check counts. */
export function contentOf(check: FolderCheck, inventory: Inventory): readonly Entry[] {
  return withExtension(inventory.below(check.path), check.extensions);
}

/** The files in a check's picture folder, at any depth. */
export function picturesOf(check: FolderCheck, inventory: Inventory): readonly Entry[] {
  const { pictures } = check;
  if (pictures === null) return [];
  return withExtension(inventory.below(pictures.folder), pictures.extensions);
}

function withPicture(
  files: readonly Entry[],
  check: FolderCheck,
  pictures: readonly Entry[],
): number {
  const extensions = check.pictures?.extensions ?? [];
  const names = new Set(pictures.map((picture) => stem(picture, extensions)));
  return files.filter((file) => names.has(stem(file, check.extensions))).length;
}

function withExtension(entries: readonly Entry[], extensions: readonly string[]): readonly Entry[] {
  return entries.filter(
    (entry) =>
      isReadable(entry) && (extensions.length === 0 || extensionOf(entry, extensions) !== null),
  );
}

/** The longest of the extensions that the name ends in, with something before it; letter case does not count. */
function extensionOf(entry: Entry, extensions: readonly string[]): string | null {
  const name = foldCase(baseName(entry.path));
  let longest: string | null = null;
  for (const extension of extensions) {
    const ending = `.${foldCase(extension)}`;
    if (!name.endsWith(ending) || name.length === ending.length) continue;
    if (longest === null || ending.length > longest.length) longest = ending;
  }
  return longest;
}

/** The case-folded name without its extension: the one that was asked for, or the last when any will do. */
function stem(entry: Entry, extensions: readonly string[]): string {
  const name = foldCase(baseName(entry.path));
  const ending = extensionOf(entry, extensions);
  if (ending !== null) return name.slice(0, -ending.length);
  const dot = name.lastIndexOf('.');
  return dot > 0 ? name.slice(0, dot) : name;
}
