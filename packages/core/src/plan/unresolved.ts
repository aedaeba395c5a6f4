import { isKept } from '../inventory/kept-folder.js';
import type { Inventory } from '../inventory/inventory.js';
import type { FirmwareVerdict } from '../judge/verdict.js';
import type { Manifest } from '../manifest/model.js';
import type { ExpectedFirmware, Selection } from '../manifest/selection.js';
import { foldCase } from '../text/fold.js';
import { baseName, folderOf } from '../text/path.js';
import { provesNothing } from './candidate.js';
import { expectedPlaces } from './protected-paths.js';

/** The firmware of a selection that something may have to be placed for. */
export function unresolved(
  selection: Selection,
  verdicts: readonly FirmwareVerdict[],
): ExpectedFirmware[] {
  const matching = new Set(
    verdicts.filter(({ verdict }) => verdict === 'match').map(({ id }) => id),
  );
  return selection.firmware.filter(({ firmware }) => !matching.has(firmware.id));
}

/**
 * Firmware that other systems or loadouts expect where something is to be
 * placed, and a file stands: if that file is right for them, it stays.
 */
export function rivalsOf(
  wanted: readonly ExpectedFirmware[],
  selection: Selection,
  manifest: Manifest,
  inventory: Inventory,
): ExpectedFirmware[] {
  const taken = new Set(
    wanted.map((each) => each.expectedPath).filter((path) => inventory.get(path) !== undefined),
  );
  if (taken.size === 0) return [];
  const selected = new Set(selection.firmware.map(placeKey));
  return expectedPlaces(manifest).filter(
    (each) =>
      taken.has(each.expectedPath) &&
      !provesNothing(each.firmware) &&
      !selected.has(placeKey(each)),
  );
}

/** One firmware may be expected in several places. */
function placeKey({ firmware, expectedPath }: ExpectedFirmware): string {
  return JSON.stringify([firmware.id, expectedPath]);
}

/**
 * Which files on a card are read in search of a dump that states no size, so
 * that not the whole card is: those named as one, those in a folder that an
 * expected path is in, and those that an earlier run moved out of the way.
 */
export function isLikelyOnCard(wanted: readonly ExpectedFirmware[]): (path: string) => boolean {
  const names = new Set(wanted.map(({ expectedPath }) => foldCase(baseName(expectedPath))));
  const folders = new Set(wanted.map(({ expectedPath }) => foldCase(folderOf(expectedPath))));
  return (path) => {
    const folded = foldCase(path);
    return names.has(baseName(folded)) || folders.has(folderOf(folded)) || isKept(path);
  };
}
