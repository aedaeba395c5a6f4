import { orAborted } from '../bytes/abort.js';
import { checkDistinct, checkListed } from '../bytes/checked-source.js';
import type { ProgressCount } from '../bytes/progress.js';
import type { Fault, FolderSource, Listed, ListOptions } from '../bytes/source.js';
import { Inventory, type Listing } from './inventory.js';
import { NameListing } from './name-listing.js';

/** How a folder is listed. */
interface CollectOptions extends ListOptions {
  /** Counts the files that are listed. */
  readonly count?: ProgressCount | undefined;
}

/** Lists a folder to its end, with all sizes. Throws what the source throws when the root itself cannot be listed. */
export async function buildInventory(
  folder: FolderSource,
  options: CollectOptions = {},
): Promise<Inventory> {
  const { signal } = options;
  const { entries, faults } = await collectListing(folder.list({ signal }), options);
  return distinct(new Inventory(entries, faults));
}

/** As {@link buildInventory}, but sizes are looked up when they are asked for, where the source can do that. */
export async function buildListing(
  folder: FolderSource,
  options: CollectOptions = {},
): Promise<Listing> {
  const { names } = folder;
  if (names === undefined) return buildInventory(folder, options);
  const { signal } = options;
  const { entries, faults } = await collectListing(names.list({ signal }), options);
  return distinct(new NameListing(names, entries, faults));
}

function distinct<Found extends Listing>(listing: Found): Found {
  checkDistinct(listing.entries);
  return listing;
}

async function collectListing<Item extends Listed>(
  listing: AsyncIterable<Item | Fault | readonly (Item | Fault)[]>,
  { signal, count }: CollectOptions,
): Promise<{ readonly entries: Item[]; readonly faults: Fault[] }> {
  const entries: Item[] = [];
  const faults: Fault[] = [];
  const collecting = async (): Promise<void> => {
    for await (const given of listing) {
      signal?.throwIfAborted();
      let files = 0;
      for (const item of isBatch(given) ? given : [given]) {
        if ('code' in item) {
          faults.push(item);
        } else {
          checkListed(item);
          entries.push(item);
          if (item.kind === 'file') files++;
        }
      }
      count?.found(files);
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
