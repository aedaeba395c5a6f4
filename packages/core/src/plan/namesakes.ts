import type { Entry } from '../bytes/source.js';
import { addTo } from '../collections.js';
import { isKept } from '../inventory/kept-folder.js';
import type { ExpectedFirmware } from '../manifest/selection.js';
import { foldCase } from '../text/fold.js';
import { baseName } from '../text/path.js';
import { provesNothing } from './candidate.js';
import type { Origin } from '../recognise/origin.js';

/** Files of the card, or of one source of the pile. */
export interface ListedFiles {
  /** As the caller named it; null is the card. */
  readonly source: string | null;
  readonly entries: readonly Entry[];
  /** What an entry's path is called in {@link Origin}; itself when not given. */
  readonly originPath?: (path: string) => string;
}

/**
 * Where files lie that have the name of a presence-only entry: for the person
 * to look at. They are never placed, as a name proves nothing.
 */
export function findNamesakes(
  wanted: readonly ExpectedFirmware[],
  places: readonly ListedFiles[],
): Map<string, Origin[]> {
  const byName = new Map<string, ExpectedFirmware[]>();
  for (const each of wanted) {
    if (provesNothing(each.firmware)) {
      addTo(byName, foldCase(baseName(each.expectedPath)), each);
    }
  }
  const found = new Map<string, Origin[]>();
  if (byName.size === 0) return found;
  for (const { source, entries, originPath } of places) {
    for (const { path, kind } of entries) {
      // What was moved out of the way was not what was wanted.
      if (kind !== 'file' || (source === null && isKept(path))) continue;
      for (const { firmware, expectedPath } of byName.get(foldCase(baseName(path))) ?? []) {
        if (source === null && foldCase(path) === foldCase(expectedPath)) continue;
        addTo(found, firmware.id, { source, path: originPath?.(path) ?? path, inside: [] });
      }
    }
  }
  return found;
}
