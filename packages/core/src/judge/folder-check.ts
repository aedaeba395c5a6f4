import { isReadable, type Listed } from '../bytes/source.js';
import type { Listing } from '../inventory/inventory.js';
import type { FolderCheck } from '../manifest/model.js';
import type { Fact } from '../facts/fact-values.js';
import { fact } from '../facts/fact.js';
import { foldCase } from '../text/fold.js';
import { baseName } from '../text/path.js';
import { unlisted, type Obstacles } from './obstacles.js';

/** What one folder check found. */
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
    /** Paths of those that have none. */
    readonly without: readonly string[];
    /** Paths of pictures that belong to none of them. */
    readonly unused: readonly string[];
  } | null;
  /** What kept files from being counted; present only when something did. */
  readonly facts?: readonly Fact[];
}

/** A folder with fewer files than a system wants, which no firmware can help. */
export type TooFew = Pick<FolderRow, 'path' | 'found' | 'atLeast'>;

export function tooFewIn(folders: readonly FolderRow[]): TooFew[] {
  return folders
    .filter(({ enough }) => !enough)
    .map(({ path, found, atLeast }) => ({ path, found, atLeast }));
}

/**
 * Counts what a folder holds, at any depth, and how many of those files have a
 * picture; says so when something there could not be looked at.
 */
export function checkFolder(
  check: FolderCheck,
  inventory: Listing,
  obstacles: Obstacles,
  ignoresCase = false,
): FolderRow {
  const files = contentOf(check, inventory, ignoresCase);
  const { pictures } = check;
  const folders = pictures === null ? [check.path] : [check.path, pictures.folder];
  const facts = new Map<string, Fact>();
  for (const folder of folders) {
    for (const each of uncounted(folder, inventory, obstacles, ignoresCase)) {
      facts.set(each.text, each);
    }
  }
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
            ...paired(files, check, picturesOf(check, inventory, ignoresCase)),
          },
    ...(facts.size === 0 ? {} : { facts: [...facts.values()] }),
  };
}

/** The root has a name that can be seen. */
function named(folder: string): string {
  return folder === '' ? '.' : folder;
}

/** More folders than this are counted, not named: the report's faults have them all. */
const MAX_NAMED = 3;

/** What keeps files at a folder or below it from being counted. */
function uncounted(
  folder: string,
  inventory: Listing,
  obstacles: Obstacles,
  ignoresCase: boolean,
): readonly Fact[] {
  // A name in the folder, so that the folder itself is looked at too.
  const obstacle = obstacles.to(folder === '' ? '*' : `${folder}/*`, ignoresCase);
  if (obstacle !== null) return [obstacle.fact];
  const form = (path: string): string => (ignoresCase ? foldCase(path) : path.normalize('NFC'));
  const beginning = folder === '' ? '' : `${form(folder)}/`;
  const below = inventory.faults.filter(({ path }) => form(path).startsWith(beginning));
  const more = below.length - MAX_NAMED;
  return [
    ...below.slice(0, MAX_NAMED).map(unlisted),
    ...(more > 0 ? [fact('more-unlisted', { count: more })] : []),
  ];
}

/** The files that a check counts. */
export function contentOf(
  check: FolderCheck,
  inventory: Listing,
  ignoresCase = false,
): readonly Listed[] {
  return withExtension(below(check.path, inventory, ignoresCase), check.extensions);
}

/** The files in a check's picture folder, at any depth. */
export function picturesOf(
  check: FolderCheck,
  inventory: Listing,
  ignoresCase = false,
): readonly Listed[] {
  const { pictures } = check;
  if (pictures === null) return [];
  return withExtension(below(pictures.folder, inventory, ignoresCase), pictures.extensions);
}

function below(folder: string, inventory: Listing, ignoresCase: boolean): readonly Listed[] {
  if (!ignoresCase) return inventory.below(folder);
  return inventory.spellings(folder).flatMap((spelled) => inventory.below(spelled));
}

/** Which files have a picture, by base name in any letter case, and which pictures have a file. */
function paired(
  files: readonly Listed[],
  check: FolderCheck,
  pictures: readonly Listed[],
): { found: number; without: string[]; unused: string[] } {
  const pictured = new Set(pictures.map((one) => stem(one, check.pictures?.extensions ?? [])));
  const named = new Set(files.map((file) => stem(file, check.extensions)));
  const without = files.filter((file) => !pictured.has(stem(file, check.extensions)));
  const unused = pictures.filter((one) => !named.has(stem(one, check.pictures?.extensions ?? [])));
  return {
    found: files.length - without.length,
    without: without.map(({ path }) => path),
    unused: unused.map(({ path }) => path),
  };
}

function withExtension(
  entries: readonly Listed[],
  extensions: readonly string[],
): readonly Listed[] {
  return entries.filter(
    (entry) =>
      isReadable(entry) && (extensions.length === 0 || extensionOf(entry, extensions) !== null),
  );
}

/** The longest of the extensions that the name ends in, with something before it; letter case does not count. */
function extensionOf(entry: Listed, extensions: readonly string[]): string | null {
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
function stem(entry: Listed, extensions: readonly string[]): string {
  const name = foldCase(baseName(entry.path));
  const ending = extensionOf(entry, extensions);
  if (ending !== null) return name.slice(0, -ending.length);
  const dot = name.lastIndexOf('.');
  return dot > 0 ? name.slice(0, dot) : name;
}
