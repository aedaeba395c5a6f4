import {
  isReadable,
  ReadError,
  type Entry,
  type Fault,
  type Listed,
  type ListOptions,
  type NameSource,
} from '../bytes/source.js';
import { checkStat } from '../bytes/checked-source.js';
import { Turns } from '../bytes/turns.js';
import { ByPath } from './by-path.js';
import { Inventory, Listing } from './inventory.js';

type Looked = Entry | ReadError;

/** A {@link Listing} that looks sizes up when they are asked for. */
export class NameListing extends Listing {
  readonly #source: NameSource;
  readonly #listed: ByPath<Listed>;
  readonly #looked = new Map<Listed, Looked | Promise<Looked>>();
  #all: Promise<Inventory> | null = null;
  /** What {@link #all} came to. */
  #known: Inventory | null = null;

  constructor(source: NameSource, entries: readonly Listed[], faults: readonly Fault[]) {
    const listed = ByPath.of(entries);
    super(listed, faults);
    this.#source = source;
    this.#listed = listed;
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
    this.#known = new Inventory(this.#listed.withSome(entries), faults);
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
      if (!(found instanceof Promise)) return checkStat(item, found);
      return found.then((entry) => checkStat(item, entry)).catch(readErrorOnly);
    } catch (error) {
      return readErrorOnly(error);
    }
  }
}

function readErrorOnly(error: unknown): ReadError {
  if (error instanceof ReadError) return error;
  throw error;
}
