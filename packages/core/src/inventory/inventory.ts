import { isReadable, type Entry, type Fault, type FolderSource } from '../bytes/source.js';
import { foldCase } from '../text/fold.js';
import { compareUtf8 } from '../text/order.js';
import { baseName } from '../text/path.js';
import { Lookup } from './lookup.js';

/**
 * What is in a root folder. Names are compared in Unicode NFC (UAX #15),
 * because one file system stores them composed and another decomposed; the
 * paths given out are always those the folder has. All lists are in UTF-8
 * order of path. Indexes are made when first asked for.
 */
export class Inventory {
  /** Everything found, readable or not, in UTF-8 order of path. */
  readonly entries: readonly Entry[];
  /** What could not be listed, in UTF-8 order of path. */
  readonly faults: readonly Fault[];
  /** Entries whose path is not in NFC; nearly always none. */
  readonly #decomposed: readonly Entry[];
  #sizes: Lookup<number, Entry> | null = null;
  #names: Lookup<string, Entry> | null = null;

  constructor(entries: readonly Entry[], faults: readonly Fault[] = []) {
    this.entries = sortByPath(entries);
    this.faults = sortByPath(faults);
    this.#decomposed = this.entries.filter((entry) => nfc(entry.path) !== entry.path);
  }

  /** The entry at a path, letter case included. A name with the same code points goes before one that is equal in NFC only. */
  get(path: string): Entry | undefined {
    const exact = this.#at(path);
    if (exact !== undefined) return exact;
    const composed = nfc(path);
    const other = composed === path ? undefined : this.#at(composed);
    return other ?? this.#decomposed.find((entry) => nfc(entry.path) === composed);
  }

  /** Entries whose path equals this one but for letter case (simple case folding); never the entry at the path itself. */
  equalButForCase(path: string): readonly Entry[] {
    const folded = foldCase(path);
    const composed = nfc(path);
    return this.byFoldedName(baseName(path)).filter(
      (entry) => foldCase(entry.path) === folded && nfc(entry.path) !== composed,
    );
  }

  /** Readable files (and links to one) of exactly this many bytes. */
  bySize(size: number): readonly Entry[] {
    this.#sizes ??= new Lookup(this.entries.filter(isReadable), (entry) => entry.size);
    return this.#sizes.get(size);
  }

  /** Entries of any kind whose last path part equals `name` under case folding. */
  byFoldedName(name: string): readonly Entry[] {
    this.#names ??= new Lookup(this.entries, (entry) => foldCase(baseName(entry.path)));
    return this.#names.get(foldCase(name));
  }

  /** Entries of any kind directly in a folder, letter case included; '' is the root. */
  inFolder(folder: string): readonly Entry[] {
    const start = folder === '' ? 0 : nfc(folder).length + 1;
    return this.below(folder).filter((entry) => !nfc(entry.path).includes('/', start));
  }

  /** Entries of any kind in a folder at any depth, letter case included; '' is the root. */
  below(folder: string): readonly Entry[] {
    if (folder === '') return this.entries;
    const composed = `${nfc(folder)}/`;
    const found = this.#startingWith(composed);
    if (this.#decomposed.length === 0) return found;
    const composedOnes = found.filter((entry) => nfc(entry.path) === entry.path);
    const decomposed = this.#decomposed.filter((entry) => nfc(entry.path).startsWith(composed));
    return sortByPath([...composedOnes, ...decomposed]);
  }

  #at(path: string): Entry | undefined {
    const entry = this.entries[this.#firstNotBefore(path)];
    return entry?.path === path ? entry : undefined;
  }

  /** Paths with one beginning stand next to each other in any byte order. */
  #startingWith(beginning: string): readonly Entry[] {
    const start = this.#firstNotBefore(beginning);
    let end = start;
    while (this.entries[end]?.path.startsWith(beginning)) end++;
    return this.entries.slice(start, end);
  }

  /** Binary search: index of the first entry at or after a path. */
  #firstNotBefore(path: string): number {
    let low = 0;
    let high = this.entries.length;
    while (low < high) {
      const middle = (low + high) >>> 1;
      const entry = this.entries[middle];
      if (entry !== undefined && compareUtf8(entry.path, path) < 0) low = middle + 1;
      else high = middle;
    }
    return low;
  }
}

/** Lists a folder to its end. Throws what the source throws when the root itself cannot be listed. */
export async function buildInventory(folder: FolderSource): Promise<Inventory> {
  const entries: Entry[] = [];
  const faults: Fault[] = [];
  for await (const item of folder.list()) {
    if ('code' in item) faults.push(item);
    else entries.push(item);
  }
  return new Inventory(entries, faults);
}

function sortByPath<Item extends { readonly path: string }>(items: readonly Item[]): Item[] {
  // Without surrogates UTF-16 order is UTF-8 order, and the engine's own comparison is ten times as fast.
  const plain = items.every((item) => !SURROGATE.test(item.path));
  const compare = plain
    ? (a: Item, b: Item): number => (a.path < b.path ? -1 : a.path > b.path ? 1 : 0)
    : (a: Item, b: Item): number => compareUtf8(a.path, b.path);
  return [...items].sort(compare);
}

const SURROGATE = /[\ud800-\udfff]/;
const NOT_ASCII = /[^\u0000-\u007f]/;

function nfc(path: string): string {
  return NOT_ASCII.test(path) ? path.normalize('NFC') : path;
}
