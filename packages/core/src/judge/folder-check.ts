import { isReadable, type Entry } from '../bytes/source.js';
import type { Inventory } from '../inventory/inventory.js';
import type { FolderCheck } from '../manifest/model.js';
import { foldCase } from '../text/fold.js';
import { baseName } from '../text/path.js';
import { unlistedDetail, type Obstacles } from './obstacles.js';

/** What a folder was found to hold. */
export interface FolderRow {
  /** '.' is the root. */
  readonly path: string;
  readonly extensions: readonly string[];
  readonly atLeast: number;
  /** Files with those extensions, at any depth. */
  readonly found: number;
  readonly enough: boolean;
  readonly pictures: {
    readonly folder: string;
    readonly extensions: readonly string[];
    /** How many of the `found` files have a picture of the same base name. */
    readonly found: number;
  } | null;
  /** What kept files from being counted, one plain sentence each; present only when something did. */
  readonly detail?: readonly string[];
}

/**
 * Counts what a folder holds, at any depth, and how many of those files have a
 * picture; says so when something there could not be looked at.
 */
export function checkFolder(
  check: FolderCheck,
  inventory: Inventory,
  obstacles: Obstacles,
): FolderRow {
  const files = contentOf(check, inventory);
  const { pictures } = check;
  const folders = pictures === null ? [check.path] : [check.path, pictures.folder];
  const detail = new Set(folders.flatMap((folder) => uncounted(folder, inventory, obstacles)));
  return {
    path: named(check.path),
    extensions: check.extensions,
    atLeast: check.atLeast,
    found: files.length,
    enough: files.length >= check.atLeast,
    pictures:
      pictures === null
        ? null
        : {
            folder: named(pictures.folder),
            extensions: pictures.extensions,
            found: withPicture(files, check, picturesOf(check, inventory)),
          },
    ...(detail.size === 0 ? {} : { detail: [...detail] }),
  };
}

/** The root has a name that can be seen. */
function named(folder: string): string {
  return folder === '' ? '.' : folder;
}

/** More folders than this are counted, not named: the report's faults have them all. */
const MAX_NAMED = 3;

/** What keeps files at a folder or below it from being counted. */
function uncounted(folder: string, inventory: Inventory, obstacles: Obstacles): readonly string[] {
  // A name in the folder, so that the folder itself is looked at too.
  const obstacle = obstacles.to(folder === '' ? '*' : `${folder}/*`);
  if (obstacle !== null) return [obstacle.detail];
  const beginning = folder === '' ? '' : `${folder.normalize('NFC')}/`;
  const below = inventory.faults.filter(({ path }) => path.normalize('NFC').startsWith(beginning));
  const more = below.length - MAX_NAMED;
  return [
    ...below.slice(0, MAX_NAMED).map(unlistedDetail),
    ...(more > 0 ? [`${String(more)} more could not be listed.`] : []),
  ];
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
