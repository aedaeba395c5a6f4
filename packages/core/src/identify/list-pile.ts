import type { ProgressCount } from '../bytes/progress.js';
import type { Entry, Fault, PileSource } from '../bytes/source.js';
import { unreadableFault } from '../facts/fault.js';
import { buildInventory } from '../inventory/build-inventory.js';
import { sortedBy } from '../text/order.js';

/** A regular file of a pile. */
export interface PileFile {
  readonly source: PileSource;
  readonly entry: Entry;
  /** As shown. */
  readonly path: string;
}

/**
 * Every regular file of the sources, by path as shown: what is named alone and
 * lies in a named folder too is one file. Folders and links are passed over;
 * anything else is a fault.
 */
export async function listPile(
  sources: readonly PileSource[],
  signal: AbortSignal | undefined,
  count: ProgressCount,
): Promise<{ files: readonly PileFile[]; faults: readonly Fault[] }> {
  const files = new Map<string, PileFile>();
  const faults: Fault[] = [];
  for (const source of sources) {
    const listed = await buildInventory(source.folder, { signal, count });
    for (const fault of listed.faults) {
      faults.push({ ...fault, path: shownPath(source, fault.path) });
    }
    for (const entry of listed.entries) {
      const path = shownPath(source, entry.path);
      if (entry.kind === 'file') {
        files.set(path, files.get(path) ?? { source, entry, path });
      } else if (entry.kind !== 'folder' && entry.kind !== 'link') {
        faults.push({ ...unreadableFault(entry), path });
      }
    }
  }
  return { files: sortedBy(files.values(), ({ path }) => path), faults };
}

/** A path below a source, as it is shown. */
export function shownPath({ kind, name }: PileSource, path: string): string {
  if (kind === 'file' || path === '') return name;
  return name.endsWith('/') ? name + path : `${name}/${path}`;
}
