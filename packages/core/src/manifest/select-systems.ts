import { FirmtallyError, type ErrorCode } from '../errors.js';
import { nearestName } from '../text/nearest.js';
import { sortedBy } from '../text/order.js';
import { contentFolder, expectedPath } from './expected-path.js';
import type { FolderCheck, Loadout, Manifest, Requirement, System } from './model.js';
import type { Selection, SelectionRequest } from './selection.js';

/**
 * The systems asked for (together those of the loadout and those named; all
 * when neither is given), with their content folders where the loadout has them,
 * and the firmware they name with its expected paths.
 *
 * @throws FirmtallyError `unknown-system`, `unknown-loadout`
 * @example
 * const { firmware } = selectSystems(manifest, { loadout: 'pocket' });
 * firmware.map(({ expectedPath }) => expectedPath); // => ['osprey_boot.bin']
 */
export function selectSystems(manifest: Manifest, request: SelectionRequest): Selection {
  const loadout = findLoadout(manifest, request.loadout ?? null);
  const named = [...(loadout?.systems ?? []), ...(request.systems ?? [])];
  const all = loadout === null && request.systems === undefined;
  const ids = new Set(all ? manifest.systems.keys() : named);
  const systems = sortedBy(
    [...ids].map((id) => onDevice(find(manifest.systems, id, 'unknown-system', 'system'), loadout)),
    ({ id }) => id,
  );
  const wanted = new Set(systems.flatMap(firmwareOf));
  const firmware = [...manifest.firmware.values()]
    .filter(({ id }) => wanted.has(id))
    .map((entry) => ({ firmware: entry, expectedPath: expectedPath(entry, loadout) }));
  return { systems, loadout, firmware };
}

/** The same of a task, for which there must be something to do: a run that checks nothing must not look like one where all is well. */
export function selectSome(manifest: Manifest, request: SelectionRequest): Selection {
  const selection = selectSystems(manifest, request);
  if (selection.systems.length > 0) return selection;
  const { loadout } = selection;
  throw loadout === null
    ? new FirmtallyError(
        'manifest-invalid',
        `${manifest.sources.map(({ path }) => path).join(', ')}: no systems, so there is nothing to check`,
        'Add a `systems:` section that says which firmware each system requires.',
      )
    : new FirmtallyError(
        'manifest-invalid',
        `the loadout "${loadout.id}" has no systems, so there is nothing to check`,
        'Name systems in it, or choose another.',
      );
}

/** The system as it is with a loadout: its content may lie elsewhere. */
function onDevice(system: System, loadout: Loadout | null): System {
  if (loadout === null || loadout.content.size === 0) return system;
  const move = (check: FolderCheck): FolderCheck => ({
    ...check,
    path: contentFolder(check.path, loadout),
    pictures:
      check.pictures === null
        ? null
        : { ...check.pictures, folder: contentFolder(check.pictures.folder, loadout) },
  });
  return { ...system, folders: system.folders.map(move) };
}

/** Ids of all firmware a system names, required or optional. */
export function firmwareOf(system: System): string[] {
  return [...system.requires.flatMap(requirementIds), ...system.optional];
}

function requirementIds(requirement: Requirement): readonly string[] {
  return 'firmware' in requirement ? [requirement.firmware] : requirement.anyOf;
}

function findLoadout(manifest: Manifest, id: string | null): Loadout | null {
  return id === null ? null : find(manifest.loadouts, id, 'unknown-loadout', 'loadout');
}

function find<T>(map: ReadonlyMap<string, T>, id: string, code: ErrorCode, noun: string): T {
  const found = map.get(id);
  if (found !== undefined) return found;
  const nearest = nearestName(id, map.keys());
  const few = [...map.keys()].slice(0, MAX_LISTED);
  const more = map.size > few.length ? `, and ${map.size - few.length} more` : '';
  const known =
    map.size === 0 ? `The manifest has no ${noun}s.` : `Known ${noun}s: ${few.join(', ')}${more}.`;
  throw new FirmtallyError(
    code,
    `No ${noun} "${id}" in the manifest.`,
    nearest === null ? known : `Did you mean "${nearest}"?`,
  );
}

const MAX_LISTED = 10;
