import { expectedPath } from '../manifest/expected-path.js';
import type { FolderCheck, Loadout, Manifest } from '../manifest/model.js';
import { firmwareOf } from '../manifest/select-systems.js';
import type { ExpectedFirmware } from '../manifest/selection.js';
import { foldersAbove } from '../text/path.js';

/** Paths that some entry, system or loadout of a manifest counts on, selected or not. */
export interface ProtectedPaths {
  /** Where firmware is expected. */
  readonly files: ReadonlySet<string>;
  /** Folders on the way to those, and folders whose content is counted. */
  readonly folders: ReadonlySet<string>;
}

/** Every place where an entry is expected: by its own manifest, and by each loadout that needs it. */
export function expectedPlaces(manifest: Manifest): ExpectedFirmware[] {
  const places: ExpectedFirmware[] = [];
  for (const firmware of manifest.firmware.values()) {
    places.push({ firmware, expectedPath: expectedPath(firmware, null) });
  }
  for (const loadout of manifest.loadouts.values()) {
    if (loadout.folder === null) continue;
    for (const firmware of firmwareIn(loadout, manifest)) {
      places.push({ firmware, expectedPath: expectedPath(firmware, loadout) });
    }
  }
  return places;
}

/** What no placement gives up, for whichever loadout it is made. `selected`: where the selection expects its firmware. */
export function protectedPaths(
  manifest: Manifest,
  selected: readonly ExpectedFirmware[],
): ProtectedPaths {
  const files = new Set(selected.map((each) => each.expectedPath));
  for (const each of expectedPlaces(manifest)) files.add(each.expectedPath);
  const folders = new Set<string>();
  const checks = [...manifest.systems.values()].flatMap((system) => system.folders);
  for (const path of [...files, ...checks.flatMap(contentFolders)]) {
    for (const folder of foldersAbove(path)) folders.add(folder);
  }
  for (const path of checks.flatMap(contentFolders)) folders.add(path);
  return { files, folders };
}

function firmwareIn(loadout: Loadout, manifest: Manifest): Iterable<ExpectedFirmware['firmware']> {
  const ids = new Set(
    loadout.systems.flatMap((id) => {
      const system = manifest.systems.get(id);
      return system === undefined ? [] : firmwareOf(system);
    }),
  );
  return [...ids].flatMap((id) => manifest.firmware.get(id) ?? []);
}

function contentFolders({ path, pictures }: FolderCheck): string[] {
  return pictures === null ? [path] : [path, pictures.folder];
}
