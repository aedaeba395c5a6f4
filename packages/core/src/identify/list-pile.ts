import { checkListed } from '../bytes/checked-source.js';
import type { Entry, Fault } from '../bytes/source.js';
import { sortedBy } from '../text/order.js';
import type { PileSource } from './model.js';

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
): Promise<{ files: readonly PileFile[]; faults: readonly Fault[] }> {
  const files = new Map<string, PileFile>();
  const faults: Fault[] = [];
  for (const source of sources) {
    for await (const entry of source.entries) {
      const path = shownPath(source, entry.path);
      if ('code' in entry) {
        faults.push({ ...entry, path });
        continue;
      }
      if (source.kind === 'folder') checkListed(entry);
      if (entry.kind === 'file') {
        files.set(path, files.get(path) ?? { source, entry, path });
      } else if (entry.kind !== 'folder' && entry.kind !== 'link') {
        faults.push({ path, code: 'not-a-file', message: `This is not a file (${entry.kind}).` });
      }
    }
  }
  return { files: sortedBy(files.values(), ({ path }) => path), faults };
}

/** A path below a source, as it is shown. */
export function shownPath({ kind, shown }: PileSource, path: string): string {
  if (kind === 'file' || path === '') return shown;
  return shown.endsWith('/') ? shown + path : `${shown}/${path}`;
}
