import { toLoadout, toPlacing } from '../../build.js';
import { MAX_LOADOUT_ENTRIES } from '../../limits.js';
import {
  firmwareNamedBy,
  type WrittenFile,
  type WrittenFirmware,
  type WrittenLoadout,
} from '../../written.js';
import { expectedPath } from '../../expected-path.js';
import { isSafePath } from '../../safe-path.js';

/** An entry and where it is expected under one choice of folders. */
export interface Home {
  readonly firmware: WrittenFirmware;
  readonly path: string;
}

export interface Layouts {
  /**
   * The expected paths of all entries: once by the manifests' folders, and once
   * for each loadout that moves its firmware. Of an id defined several times
   * only the first counts; entries without a usable path are left out.
   */
  readonly homes: readonly (readonly Home[])[];
  /** The first loadout that is not there, as those before it name too many entries; null when all are. */
  readonly leftOut: WrittenLoadout | null;
}

export function layouts(files: readonly WrittenFile[]): Layouts {
  const known = asked.get(files);
  if (known !== undefined) return known;
  const made = makeLayouts(files);
  asked.set(files, made);
  return made;
}

/** Several rules ask for the layouts of the same files. */
const asked = new WeakMap<readonly WrittenFile[], Layouts>();

function makeLayouts(files: readonly WrittenFile[]): Layouts {
  const usable = new Map<string, WrittenFirmware>();
  const seen = new Set<string>();
  for (const firmware of files.flatMap((file) => file.firmware)) {
    if (seen.has(firmware.id.value)) continue;
    seen.add(firmware.id.value);
    if (isUsable(firmware)) usable.set(firmware.id.value, firmware);
  }
  // Of a pair the one written later is reported, so each layout keeps their order.
  const rank = new Map([...usable.keys()].map((id, index) => [id, index]));
  const systems = new Map(
    files.flatMap((file) => file.systems).map((system) => [system.id.value, system]),
  );
  const homes = [layout(usable.values(), null)];
  let left = MAX_LOADOUT_ENTRIES;
  for (const loadout of files.flatMap((file) => file.loadouts)) {
    const { folder } = loadout;
    if (folder === null || (folder.value !== '.' && !isSafePath(folder.value))) continue;
    const named = new Set<string>();
    for (const id of new Set(loadout.systems.map(({ value }) => value))) {
      const system = systems.get(id);
      if (system === undefined) continue;
      const ids = firmwareNamedBy(system);
      left -= ids.length;
      if (left < 0) return { homes, leftOut: loadout };
      for (const { value } of ids) if (usable.has(value)) named.add(value);
    }
    const entries = [...named]
      .sort((a, b) => (rank.get(a) ?? 0) - (rank.get(b) ?? 0))
      .flatMap((each) => usable.get(each) ?? []);
    homes.push(layout(entries, toLoadout(loadout).folder));
  }
  return { homes, leftOut: null };
}

function isUsable({ path, folder, file }: WrittenFirmware): boolean {
  return (
    path !== null &&
    [path, folder, file.folder].every(
      (text) => text === null || text.value === '.' || isSafePath(text.value),
    )
  );
}

function layout(entries: Iterable<WrittenFirmware>, folder: string | null): Home[] {
  return Array.from(entries, (firmware) => ({
    firmware,
    path: expectedPath(toPlacing(firmware), { folder }),
  }));
}
