import {
  isReadable,
  type Entry,
  type Fault,
  type Listed,
  type ListOptions,
} from '../bytes/source.js';
import { foldCase } from '../text/fold.js';
import { sortedBy } from '../text/order.js';
import { baseName, folderOf } from '../text/path.js';
import { ByPath, nfc } from './by-path.js';
import { Lookup } from './lookup.js';

/**
 * What is in a root folder, by name. Names are compared in Unicode NFC (UAX #15),
 * because one file system stores them composed and another decomposed; the
 * paths given out are always those the folder has. All lists are in UTF-8
 * order of path. Indexes are made when first asked for.
 *
 * Sizes may not be known yet: looking up 100,000 of them takes several times
 * as long as listing the names. {@link sized} looks up one, {@link sizes} all.
 */
export abstract class Listing<Item extends Listed = Listed> {
  readonly #byPath: ByPath<Item>;
  /** What could not be listed, in UTF-8 order of path. */
  readonly faults: readonly Fault[];
  #names: Lookup<string, Item> | null = null;
  #scans = 0;
  #folders: Map<string, Set<string>> | null = null;

  constructor(entries: readonly Item[] | ByPath<Item>, faults: readonly Fault[] = []) {
    this.#byPath = entries instanceof ByPath ? entries : ByPath.of(entries);
    this.faults = ByPath.of(faults).items;
  }

  /** Everything found, readable or not, in UTF-8 order of path. */
  get entries(): readonly Item[] {
    return this.#byPath.items;
  }

  /** One of the entries with its size; the same object however often it is asked for. Throws ReadError. */
  abstract sized(item: Item): Promise<Entry>;

  /** The same folder with all sizes, looked up once. What is gone by now is left out, what cannot be looked at is a fault. */
  abstract sizes(options?: ListOptions): Promise<Inventory>;

  /** The entry at a path, letter case included. A name with the same code points goes before one that is equal in NFC only. */
  get(path: string): Item | undefined {
    const exact = this.#byPath.at(path);
    if (exact !== undefined) return exact;
    const composed = nfc(path);
    const other = composed === path ? undefined : this.#byPath.at(composed);
    return other ?? this.#byPath.decomposed.find((entry) => nfc(entry.path) === composed);
  }

  /** Entries whose path equals this one but for letter case (simple case folding); never the entry at the path itself. */
  equalButForCase(path: string): readonly Item[] {
    const folded = foldCase(path);
    const composed = nfc(path);
    const named =
      this.#names === null && this.#scans < FEW_SCANS
        ? this.#scan(foldCase(baseName(path)))
        : this.byFoldedName(baseName(path));
    return named.filter((entry) => foldCase(entry.path) === folded && nfc(entry.path) !== composed);
  }

  /** Entries of any kind whose last path part equals `name` under case folding. */
  byFoldedName(name: string): readonly Item[] {
    this.#names ??= new Lookup(this.entries, (entry) => foldCase(baseName(entry.path)));
    return this.#names.get(foldCase(name));
  }

  /** Entries of any kind directly in a folder, letter case included; '' is the root. */
  inFolder(folder: string): readonly Item[] {
    const start = folder === '' ? 0 : nfc(folder).length + 1;
    return this.below(folder).filter((entry) => !nfc(entry.path).includes('/', start));
  }

  /** Entries of any kind in a folder at any depth, letter case included; '' is the root. */
  below(folder: string): readonly Item[] {
    if (folder === '') return this.entries;
    const composed = `${nfc(folder)}/`;
    const found = this.#byPath.startingWith(composed);
    const { decomposed } = this.#byPath;
    if (decomposed.length === 0) return found;
    const composedOnes = found.filter((entry) => nfc(entry.path) === entry.path);
    const others = decomposed.filter((entry) => nfc(entry.path).startsWith(composed));
    return ByPath.of([...composedOnes, ...others]).items;
  }

  /** Folders that hold something, at any depth, of this path but for letter case; in NFC and UTF-8 order, the path itself among them. */
  spellings(folder: string): readonly string[] {
    if (folder === '') return [''];
    if (this.#folders === null) {
      this.#folders = new Map();
      const seen = new Set<string>();
      for (const { path } of this.entries) {
        for (let above = folderOf(nfc(path)); above !== ''; above = folderOf(above)) {
          if (seen.has(above)) break;
          seen.add(above);
          const key = foldCase(above);
          this.#folders.set(key, (this.#folders.get(key) ?? new Set()).add(above));
        }
      }
    }
    return sortedBy(this.#folders.get(foldCase(folder)) ?? [], (path) => path);
  }

  /** As {@link byFoldedName}, without its index, which takes as long to make as ten scans. */
  #scan(folded: string): readonly Item[] {
    this.#scans += 1;
    const { isAscii } = this.#byPath;
    return this.entries.filter(({ path }) => {
      const start = path.lastIndexOf('/') + 1;
      // Folding changes the length of no ASCII name.
      if (isAscii && path.length - start !== folded.length) return false;
      return foldCase(path.slice(start)) === folded;
    });
  }
}

/** A {@link Listing} in which every size is known. */
export class Inventory extends Listing<Entry> {
  #bySize: Lookup<number, Entry> | null = null;

  #sizeScans = 0;

  /** Readable files (and links to one) of exactly this many bytes. */
  bySize(size: number): readonly Entry[] {
    if (this.#bySize === null && this.#sizeScans < FEW_SCANS) {
      this.#sizeScans += 1;
      return this.entries.filter((entry) => entry.size === size && isReadable(entry));
    }
    this.#bySize ??= new Lookup(this.entries.filter(isReadable), (entry) => entry.size);
    return this.#bySize.get(size);
  }

  override sized(item: Entry): Promise<Entry> {
    return Promise.resolve(item);
  }

  override sizes(): Promise<Inventory> {
    return Promise.resolve(this);
  }
}

/** What is looked for one by one before an index is made, which takes as long as several scans. */
const FEW_SCANS = 4;
