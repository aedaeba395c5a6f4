import { isReadable, type Entry } from '../bytes/source.js';
import { addTo } from '../collections.js';
import type { Inventory } from '../inventory/inventory.js';
import { isPresenceOnly } from '../manifest/model.js';
import type { ExpectedFirmware } from '../manifest/selection.js';
import { sortedBy, compareUtf8 } from '../text/order.js';
import { baseName, folderOf } from '../text/path.js';
import { eachLimited } from '../each-limited.js';
import { isRight, type Reading } from './judge-entry.js';

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
 * once each of them has a lower path.
 */
export async function findElsewhere(
  wanted: readonly Wanted[],
  inventory: Inventory,
  reading: Reading,
  options: SearchOptions,
): Promise<ReadonlyMap<Wanted, Entry>> {
  const found = new Map<Wanted, Entry>();
  const candidates = new Candidates(wanted, inventory, options);
  await eachLimited(candidates.ascending(), options.jobs, async (entry) => {
    for (const one of candidates.wantedBy(entry)) {
      if (isHigher(entry, found.get(one))) continue;
      if (!(await isWhatIsWanted(entry, one, reading))) continue;
      // Another lane may have found a lower one meanwhile.
      if (!isHigher(entry, found.get(one))) found.set(one, entry);
    }
  });
  return found;
}

function isHigher(entry: Entry, than: Entry | undefined): boolean {
  return than !== undefined && compareUtf8(entry.path, than.path) > 0;
}

async function isWhatIsWanted(entry: Entry, one: Wanted, reading: Reading): Promise<boolean> {
  return isPresenceOnly(one.expected.firmware) || isRight(entry, one.expected.firmware, reading);
}

/** Which files may be what; groups that share their candidates are kept as groups, so that memory stays linear. */
class Candidates {
  readonly #inventory: Inventory;
  readonly #specific = new Map<Entry, Wanted[]>();
  readonly #inFolders = new Set<Entry>();
  readonly #wantInFolders: Wanted[] = [];
  readonly #wantAny: Wanted[] = [];

  constructor(wanted: readonly Wanted[], inventory: Inventory, options: SearchOptions) {
    this.#inventory = inventory;
    for (const one of wanted) this.#sort(one, options.wide);
    if (this.#wantInFolders.length === 0) return;
    for (const folder of options.folders) {
      for (const entry of inventory.inFolder(folder)) {
        if (isReadable(entry)) this.#inFolders.add(entry);
      }
    }
  }

  /** Every candidate once, in UTF-8 order of path. */
  ascending(): Iterable<Entry> {
    if (this.#wantAny.length > 0) return this.#inventory.entries.filter(isReadable);
    const all = new Set([...this.#specific.keys(), ...this.#inFolders]);
    return sortedBy(all, (entry) => entry.path);
  }

  wantedBy(entry: Entry): Iterable<Wanted> {
    const all = new Set([
      ...(this.#specific.get(entry) ?? []),
      ...(this.#inFolders.has(entry) ? this.#wantInFolders : []),
      ...this.#wantAny,
    ]);
    return [...all].filter((one) => one.not !== entry);
  }

  #sort(one: Wanted, wide: boolean): void {
    const { firmware, expectedPath } = one.expected;
    const sizes = new Set(firmware.dumps.map((dump) => dump.size));
    for (const size of sizes) {
      if (size !== null) this.#add(this.#inventory.bySize(size), one);
    }
    const hasNoSizes = sizes.size === 0;
    if (!hasNoSizes && !sizes.has(null)) return;
    // Of a presence-only entry nothing but the name is known, so a wider search means nothing.
    if (wide && !isPresenceOnly(firmware)) {
      this.#wantAny.push(one);
      return;
    }
    this.#add(this.#inventory.byFoldedName(baseName(expectedPath)), one);
    if (!hasNoSizes) this.#wantInFolders.push(one);
  }

  #add(entries: readonly Entry[], one: Wanted): void {
    for (const entry of entries) {
      if (!isReadable(entry)) continue;
      addTo(this.#specific, entry, one);
    }
  }
}

/** The folders that hold an expected path. */
export function expectedFolders(expected: readonly ExpectedFirmware[]): ReadonlySet<string> {
  return new Set(expected.map(({ expectedPath }) => folderOf(expectedPath)));
}
