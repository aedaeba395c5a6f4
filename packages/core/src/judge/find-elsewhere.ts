import { isReadable, type Entry } from '../bytes/source.js';
import { addTo } from '../collections.js';
import { eachLimited } from '../each-limited.js';
import type { Inventory } from '../inventory/inventory.js';
import { isPresenceOnly, isSizeOnly } from '../manifest/model.js';
import type { ExpectedFirmware } from '../manifest/selection.js';
import { DumpLookup, type IndexedDump } from '../recognise/dump-index.js';
import { foldCase } from '../text/fold.js';
import { compareUtf8, sortedBy } from '../text/order.js';
import { baseName, folderOf } from '../text/path.js';
import { judgeMembers, type Reading } from './judge-entry.js';

/** An entry whose right bytes are looked for, and the file at its own path, which is known to be wrong. */
export interface Wanted {
  readonly expected: ExpectedFirmware;
  readonly not: Entry | null;
}

export interface SearchOptions {
  /** Every file is a candidate. */
  readonly wide: boolean;
  /** Folders that hold an expected path. */
  readonly folders: ReadonlySet<string>;
  readonly jobs: number;
}

/**
 * Step 3 of a verdict: for each entry the lowest path that has the right
 * bytes. A candidate is read once for all entries that want it, and not at all
 * once each of them has a lower path. What cannot be read is a fault.
 */
export async function findElsewhere(
  wanted: readonly Wanted[],
  inventory: Inventory,
  reading: Reading,
  options: SearchOptions,
): Promise<ReadonlyMap<Wanted, Entry>> {
  if (wanted.length === 0) return new Map();
  const search = new Search(wanted, inventory, reading, options);
  await eachLimited(search.candidates(), options.jobs, async (entry) => {
    try {
      await search.examine(entry);
    } catch (error) {
      reading.faults.note(entry.path, error);
    }
  });
  return search.found;
}

/** Entries that have one kind of candidate in common. */
interface Group {
  readonly wanted: Wanted[];
  /** How many of them have nothing yet. Candidates come in ascending order, so later ones cannot be lower. */
  open: number;
}

class Search {
  readonly found = new Map<Wanted, Entry>();
  readonly #inventory: Inventory;
  readonly #reading: Reading;
  readonly #options: SearchOptions;
  readonly #dumps: DumpLookup<Wanted>;
  readonly #groupsOf = new Map<Wanted, Group[]>();
  readonly #bySize = new Map<number, Group>();
  /** By folded name: presence-only entries, entries with a dump without size, and ZIPs. */
  readonly #byName = new Map<string, Group>();
  readonly #unsizedByName = new Map<string, Group>();
  readonly #zipsByName = new Map<string, Group>();
  readonly #inFolders: Group = { wanted: [], open: 0 };
  readonly #anywhere: Group = { wanted: [], open: 0 };
  readonly #zipsAnywhere: Group = { wanted: [], open: 0 };
  /** Files beside an expected path. */
  readonly #beside = new Set<Entry>();

  constructor(
    wanted: readonly Wanted[],
    inventory: Inventory,
    reading: Reading,
    options: SearchOptions,
  ) {
    this.#inventory = inventory;
    this.#reading = reading;
    this.#options = options;
    this.#dumps = new DumpLookup(dumpsOf(wanted));
    for (const one of wanted) this.#sort(one);
    if (this.#inFolders.open === 0) return;
    for (const folder of options.folders) {
      for (const entry of inventory.inFolder(folder)) this.#beside.add(entry);
    }
  }

  /** Every candidate once, in UTF-8 order of path. */
  candidates(): Iterable<Entry> {
    if (this.#anywhere.open + this.#zipsAnywhere.open > 0) {
      return this.#inventory.entries.filter(isReadable);
    }
    const all = new Set<Entry>(this.#beside);
    for (const size of this.#bySize.keys()) {
      for (const entry of this.#inventory.bySize(size)) all.add(entry);
    }
    for (const groups of [this.#byName, this.#unsizedByName, this.#zipsByName]) {
      for (const name of groups.keys()) {
        for (const entry of this.#inventory.byFoldedName(name)) all.add(entry);
      }
    }
    return sortedBy([...all].filter(isReadable), (entry) => entry.path);
  }

  /** Throws ReadError. */
  async examine(entry: Entry): Promise<void> {
    const name = foldCase(baseName(entry.path));
    const present = this.#byName.get(name);
    if (isOpen(present)) for (const one of present.wanted) this.#note(one, entry);
    await this.#examineBytes(entry, name);
    await this.#examineZip(entry, name);
  }

  async #examineBytes(entry: Entry, name: string): Promise<void> {
    const groups = [
      this.#bySize.get(entry.size),
      this.#unsizedByName.get(name),
      this.#beside.has(entry) ? this.#inFolders : undefined,
      this.#anywhere,
    ];
    if (!groups.some(isOpen)) return;
    const { digests, plan } = this.#reading;
    const content = await digests.of(entry, plan.forCandidate(entry.size));
    for (const { owner, dump } of this.#dumps.find(content)) {
      if (dump.size !== null || this.#isCandidate(entry, name, owner)) this.#note(owner, entry);
    }
  }

  /** Whether a file may stand for a dump without a size. */
  #isCandidate(entry: Entry, name: string, { expected }: Wanted): boolean {
    if (this.#options.wide || this.#beside.has(entry)) return true;
    if (foldCase(baseName(expected.expectedPath)) === name) return true;
    return expected.firmware.dumps.some((dump) => dump.size === entry.size && !isSizeOnly(dump));
  }

  async #examineZip(entry: Entry, name: string): Promise<void> {
    const { zips, faults } = this.#reading;
    const groups = [this.#zipsByName.get(name), this.#zipsAnywhere].filter(isOpen);
    if (zips === null || groups.length === 0) return;
    for (const one of groups.flatMap((group) => group.wanted)) {
      const { members } = one.expected.firmware;
      if (members === null || this.#isLower(this.found.get(one), entry)) continue;
      try {
        const { outcome } = await judgeMembers(entry, members, this.#reading);
        if (outcome === 'right') this.#note(one, entry);
      } catch (error) {
        faults.note(entry.path, error);
      }
    }
    // Every entry that could want it has had its look.
    zips.forget(entry);
  }

  #note(one: Wanted, entry: Entry): void {
    if (one.not === entry) return;
    const before = this.found.get(one);
    if (this.#isLower(before, entry)) return;
    this.found.set(one, entry);
    // Another lane may come with a lower one; none that is yet to begin can be.
    if (before !== undefined) return;
    for (const group of this.#groupsOf.get(one) ?? []) group.open--;
  }

  #isLower(before: Entry | undefined, entry: Entry): boolean {
    return before !== undefined && compareUtf8(before.path, entry.path) <= 0;
  }

  #sort(one: Wanted): void {
    const { firmware, expectedPath } = one.expected;
    const name = foldCase(baseName(expectedPath));
    if (isPresenceOnly(firmware)) {
      // Nothing but the name is known, so a wider search means nothing.
      this.#join(one, groupAt(this.#byName, name));
      return;
    }
    if (firmware.members !== null) {
      const wide = this.#options.wide;
      this.#join(one, wide ? this.#zipsAnywhere : groupAt(this.#zipsByName, name));
      return;
    }
    const sizes = new Set<number | null>();
    for (const dump of firmware.dumps) if (!isSizeOnly(dump)) sizes.add(dump.size);
    for (const size of sizes) if (size !== null) this.#join(one, groupAt(this.#bySize, size));
    if (!sizes.has(null)) return;
    if (this.#options.wide) {
      this.#join(one, this.#anywhere);
      return;
    }
    this.#join(one, groupAt(this.#unsizedByName, name));
    this.#join(one, this.#inFolders);
  }

  #join(one: Wanted, group: Group): void {
    group.wanted.push(one);
    group.open++;
    addTo(this.#groupsOf, one, group);
  }
}

function* dumpsOf(wanted: readonly Wanted[]): Generator<IndexedDump<Wanted>> {
  for (const owner of wanted) {
    for (const dump of owner.expected.firmware.dumps) yield { owner, dump };
  }
}

function groupAt<Key>(groups: Map<Key, Group>, key: Key): Group {
  const there = groups.get(key);
  if (there !== undefined) return there;
  const made: Group = { wanted: [], open: 0 };
  groups.set(key, made);
  return made;
}

function isOpen(group: Group | undefined): group is Group {
  return group !== undefined && group.open > 0;
}

/** The folders that hold an expected path. */
export function expectedFolders(expected: readonly ExpectedFirmware[]): ReadonlySet<string> {
  return new Set(expected.map(({ expectedPath }) => folderOf(expectedPath)));
}
