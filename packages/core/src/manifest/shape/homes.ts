import { toLoadout, toPlacing } from '../build.js';
import { firmwareNamedBy, type WrittenFile, type WrittenFirmware } from '../written.js';
import { expectedPath } from '../expected-path.js';
import { isSafePath } from '../rules/unsafe-path.js';

/** An entry and where it is expected under one choice of folders. */
export interface Home {
  readonly firmware: WrittenFirmware;
  readonly path: string;
}

/**
 * The expected paths of all entries: once by the manifests' folders, and once
 * for each loadout that moves its firmware. Of an id defined several times
 * only the first counts; entries without a usable path are left out.
 */
export function layouts(files: readonly WrittenFile[]): readonly Home[][] {
  const known = asked.get(files);
  if (known !== undefined) return known;
  const made = makeLayouts(files);
  asked.set(files, made);
  return made;
}

/** Two rules ask for the layouts of the same files. */
const asked = new WeakMap<readonly WrittenFile[], readonly Home[][]>();

function makeLayouts(files: readonly WrittenFile[]): readonly Home[][] {
  const byId = new Map<string, WrittenFirmware>();
  for (const firmware of files.flatMap((file) => file.firmware)) {
    if (!byId.has(firmware.id.value)) byId.set(firmware.id.value, firmware);
  }
  const usable = [...byId.values()].filter(
    ({ path, folder, file }) =>
      path !== null &&
      [path, folder, file.folder].every(
        (text) => text === null || text.value === '.' || isSafePath(text.value),
      ),
  );
  const layout = (entries: readonly WrittenFirmware[], folder: string | null): Home[] =>
    entries.map((firmware) => ({
      firmware,
      path: expectedPath(toPlacing(firmware), { folder }),
    }));
  const systems = new Map(
    files.flatMap((file) => file.systems).map((system) => [system.id.value, system]),
  );
  const moved = files
    .flatMap((file) => file.loadouts)
    .filter(({ folder }) => folder !== null && (folder.value === '.' || isSafePath(folder.value)))
    .map((loadout) => {
      const named = new Set(
        loadout.systems.flatMap(({ value }) => {
          const system = systems.get(value);
          return system === undefined ? [] : firmwareNamedBy(system).map((id) => id.value);
        }),
      );
      return layout(
        usable.filter(({ id }) => named.has(id.value)),
        toLoadout(loadout).folder,
      );
    });
  return [layout(usable, null), ...moved];
}
