import {
  isReadable,
  ReadError,
  type Entry,
  type Fault,
  type FolderSource,
  type Listed,
  type ListOptions,
  type NameSource,
} from '../bytes/source.js';
import { orAborted } from '../bytes/abort.js';
import { checkDistinct, checkListed } from '../bytes/checked-source.js';
import { Turns } from '../bytes/turns.js';
import { foldCase } from '../text/fold.js';
import { compareUtf8, sortedBy } from '../text/order.js';
import { baseName, folderOf } from '../text/path.js';
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
  /** Everything found, readable or not, in UTF-8 order of path. */
  readonly entries: readonly Item[];
  /** What could not be listed, in UTF-8 order of path. */
  readonly faults: readonly Fault[];
  /** Entries whose path is not in NFC; nearly always none. */
  readonly #decomposed: readonly Item[];
  #names: Lookup<string, Item> | null = null;
  #scans = 0;
  #folders: Map<string, Set<string>> | null = null;

  constructor(entries: readonly Item[], faults: readonly Fault[] = []) {
    this.entries = sortByPath(entries);
    this.faults = sortByPath(faults);
    this.#decomposed = this.entries.filter((entry) => nfc(entry.path) !== entry.path);
  }

  /** One of the entries with its size; the same object however often it is asked for. Throws ReadError. */
  abstract sized(item: Item): Promise<Entry>;

  /** The same folder with all sizes, looked up once. What is gone by now is left out, what cannot be looked at is a fault. */
  abstract sizes(options?: ListOptions): Promise<Inventory>;

  /** The entry at a path, letter case included. A name with the same code points goes before one that is equal in NFC only. */
  get(path: string): Item | undefined {
    const exact = this.#at(path);
    if (exact !== undefined) return exact;
    const composed = nfc(path);
    const other = composed === path ? undefined : this.#at(composed);
    return other ?? this.#decomposed.find((entry) => nfc(entry.path) === composed);
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
    const found = this.#startingWith(composed);
    if (this.#decomposed.length === 0) return found;
    const composedOnes = found.filter((entry) => nfc(entry.path) === entry.path);
    const decomposed = this.#decomposed.filter((entry) => nfc(entry.path).startsWith(composed));
    return sortByPath([...composedOnes, ...decomposed]);
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
    const isAscii = !NOT_ASCII.test(folded);
    return this.entries.filter(({ path }) => {
      const start = path.lastIndexOf('/') + 1;
      // Folding changes the length of no ASCII name, and only another can be longer or shorter.
      if (isAscii && path.length - start !== folded.length && !NOT_ASCII.test(path)) return false;
      return foldCase(path.slice(start)) === folded;
    });
  }

  #at(path: string): Item | undefined {
    const entry = this.entries[this.#firstNotBefore(path)];
    return entry?.path === path ? entry : undefined;
  }

  /** Paths with one beginning stand next to each other in any byte order. */
  #startingWith(beginning: string): readonly Item[] {
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

/** A {@link Listing} in which every size is known. */
export class Inventory extends Listing<Entry> {
  #bySize: Lookup<number, Entry> | null = null;

  /** Readable files (and links to one) of exactly this many bytes. */
  bySize(size: number): readonly Entry[] {
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

type Looked = Entry | ReadError;

/** A {@link Listing} that looks sizes up when they are asked for. */
class NameListing extends Listing {
  readonly #source: NameSource;
  readonly #looked = new Map<Listed, Looked | Promise<Looked>>();
  #all: Promise<Inventory> | null = null;
  /** What {@link #all} came to. */
  #known: Inventory | null = null;

  constructor(source: NameSource, entries: readonly Listed[], faults: readonly Fault[]) {
    super(entries, faults);
    this.#source = source;
  }

  override async sized(item: Listed): Promise<Entry> {
    const known = this.#known?.get(item.path);
    if (known?.path === item.path) return known;
    const found = await this.#look(item);
    if (found instanceof ReadError) throw found;
    return found;
  }

  override sizes(options: ListOptions = {}): Promise<Inventory> {
    this.#all ??= this.#lookAtAll(options).catch((error: unknown) => {
      this.#all = null; // ended by its signal: another may ask again
      throw error;
    });
    return this.#all;
  }

  async #lookAtAll({ signal }: ListOptions): Promise<Inventory> {
    const entries: Entry[] = [];
    const faults = [...this.faults];
    const turns = new Turns();
    for (const item of this.entries) {
      if (turns.isDue()) await turns.next();
      signal?.throwIfAborted();
      const looking = this.#looked.get(item) ?? this.#lookUp(item);
      // Most sources answer at once: 100,000 waits for nothing would cost as much as the answers.
      const found = looking instanceof Promise ? await looking : looking;
      if (!(found instanceof ReadError)) {
        entries.push(found);
        continue;
      }
      this.#looked.set(item, found);
      if (found.code !== 'vanished') {
        faults.push({ path: item.path, code: found.code, message: found.message });
      }
    }
    this.#known = new Inventory(entries, faults);
    return this.#known;
  }

  #look(item: Listed): Looked | Promise<Looked> {
    const known = this.#looked.get(item);
    if (known !== undefined) return known;
    const looked = this.#lookUp(item);
    this.#looked.set(item, looked);
    return looked;
  }

  #lookUp(item: Listed): Looked | Promise<Looked> {
    return isReadable(item) ? this.#stat(item) : { ...item, size: 0 };
  }

  #stat(item: Listed): Looked | Promise<Looked> {
    try {
      const found = this.#source.stat(item);
      return found instanceof Promise ? found.catch(readErrorOnly) : found;
    } catch (error) {
      return readErrorOnly(error);
    }
  }
}

function readErrorOnly(error: unknown): ReadError {
  if (error instanceof ReadError) return error;
  throw error;
}

/** Lists a folder to its end, with all sizes. Throws what the source throws when the root itself cannot be listed. */
export async function buildInventory(
  folder: FolderSource,
  options?: ListOptions,
): Promise<Inventory> {
  const { entries, faults } = await collectListing(folder.list(options), options);
  return distinct(new Inventory(entries, faults));
}

/** As {@link buildInventory}, but sizes are looked up when they are asked for, where the source can do that. */
export async function buildListing(folder: FolderSource, options?: ListOptions): Promise<Listing> {
  if (folder.names === undefined) return buildInventory(folder, options);
  const { entries, faults } = await collectListing(folder.names.list(options), options);
  return distinct(new NameListing(folder.names, entries, faults));
}

function distinct<Found extends Listing>(listing: Found): Found {
  checkDistinct(listing.entries);
  return listing;
}

async function collectListing<Item extends Listed>(
  listing: AsyncIterable<Item | Fault | readonly (Item | Fault)[]>,
  { signal }: ListOptions = {},
): Promise<{ readonly entries: Item[]; readonly faults: Fault[] }> {
  const entries: Item[] = [];
  const faults: Fault[] = [];
  const collecting = async (): Promise<void> => {
    for await (const given of listing) {
      signal?.throwIfAborted();
      for (const item of isBatch(given) ? given : [given]) {
        if ('code' in item) {
          faults.push(item);
        } else {
          checkListed(item);
          entries.push(item);
        }
      }
    }
  };
  // Also where the source does not heed the signal, or never answers.
  await orAborted(collecting(), signal);
  return { entries, faults };
}

/** Array.isArray does not tell a list that may not be written to from anything else. */
function isBatch<Item>(given: Item | readonly Item[]): given is readonly Item[] {
  return Array.isArray(given);
}

function sortByPath<Item extends { readonly path: string }>(items: readonly Item[]): Item[] {
  // Without surrogates UTF-16 order is UTF-8 order, and the engine's own comparison is ten times as fast.
  const plain = items.every((item) => !SURROGATE.test(item.path));
  const compare = plain
    ? (a: Item, b: Item): number => (a.path < b.path ? -1 : a.path > b.path ? 1 : 0)
    : (a: Item, b: Item): number => compareUtf8(a.path, b.path);
  return [...items].sort(compare);
}

/** Names that are looked for one by one before an index is made. */
const FEW_SCANS = 4;

const SURROGATE = /[\ud800-\udfff]/;
const NOT_ASCII = /[^\u0000-\u007f]/;

function nfc(path: string): string {
  return NOT_ASCII.test(path) ? path.normalize('NFC') : path;
}
