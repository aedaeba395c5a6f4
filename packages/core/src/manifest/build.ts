import type { Algorithm, Digests } from '../digest/engine.js';
import { sortedBy } from '../text/order.js';
import type {
  DraftDump,
  DraftFile,
  DraftFirmware,
  DraftFolderCheck,
  DraftLoadout,
  DraftSystem,
  Located,
} from './draft.js';
import type {
  Dump,
  Firmware,
  FolderCheck,
  Loadout,
  Manifest,
  ManifestSource,
  Place,
  System,
} from './model.js';
import type { Spot } from './parse/source-text.js';

/** Makes the model of files that have no errors. */
export function buildManifest(
  files: readonly DraftFile[],
  sources: readonly ManifestSource[],
): Manifest {
  return {
    sources,
    firmware: byId(files.flatMap((file) => file.firmware.map(toFirmware))),
    systems: byId(files.flatMap((file) => file.systems.map(toSystem))),
    loadouts: byId(files.flatMap((file) => file.loadouts.map(toLoadout))),
  };
}

/** In id order; of an id that is defined twice in the same way, the first. */
function byId<T extends { readonly id: string }>(items: readonly T[]): Map<string, T> {
  const map = new Map<string, T>();
  for (const item of sortedBy(items, ({ id }) => id)) if (!map.has(item.id)) map.set(item.id, item);
  return map;
}

export function toFirmware(draft: DraftFirmware): Firmware {
  return {
    id: draft.id.value,
    ...toPlacing(draft),
    case: draft.file.case,
    note: draft.note,
    dumps: draft.dumps.map(toDump),
    members:
      draft.members?.map((member) => ({
        path: member.path?.value ?? '',
        dumps: member.dumps.map(toDump),
      })) ?? null,
    place: toPlace(draft.id.spot),
  };
}

/** What says where an entry is expected. */
export function toPlacing(
  draft: DraftFirmware,
): Pick<Firmware, 'path' | 'folder' | 'defaultFolder'> {
  return {
    path: draft.path?.value ?? '',
    folder: draft.folder === null ? null : folderOf(draft.folder),
    defaultFolder: folderOf(draft.file.folder),
  };
}

function toDump(draft: DraftDump, index: number): Dump {
  const digests: Partial<Record<Algorithm, string>> = {};
  for (const { algorithm, value } of draft.digests) digests[algorithm] = value.toLowerCase();
  return {
    label: draft.label ?? `#${index + 1}`,
    size: draft.size?.value ?? null,
    digests: digests satisfies Digests,
  };
}

export function toSystem(draft: DraftSystem): System {
  const id = draft.id.value;
  return {
    id,
    name: draft.name ?? id,
    requires: draft.requires.map(({ anyOf, ids }) =>
      anyOf
        ? { anyOf: ids.map(({ value }) => value) }
        : { firmware: ids.map(({ value }) => value).join() },
    ),
    optional: draft.optional.map(({ value }) => value),
    folders: draft.folders.map(toFolderCheck),
    case: draft.file.case,
    place: toPlace(draft.id.spot),
  };
}

function toFolderCheck(draft: DraftFolderCheck): FolderCheck {
  return {
    path: folderOf(draft.path),
    atLeast: draft.atLeast ?? 1,
    extensions: lowered(draft.extensions),
    pictures:
      draft.pictures === null
        ? null
        : {
            folder: folderOf(draft.pictures.folder),
            extensions: lowered(draft.pictures.extensions),
          },
  };
}

function lowered(extensions: readonly Located<string>[]): string[] {
  return extensions.map(({ value }) => value.toLowerCase());
}

export function toLoadout(draft: DraftLoadout): Loadout {
  return {
    id: draft.id.value,
    name: draft.name,
    systems: draft.systems.map(({ value }) => value),
    folder: draft.folder === null ? null : folderOf(draft.folder),
    place: toPlace(draft.id.spot),
  };
}

/** '.' and nothing mean the root, which is ''. */
function folderOf(folder: Located<string> | null): string {
  return folder === null || folder.value === '.' ? '' : folder.value;
}

function toPlace({ source, range }: Spot): Place {
  const start = source.position(range.start);
  const end = source.position(range.end);
  return {
    file: source.path,
    line: start.line,
    column: start.column,
    endLine: end.line,
    endColumn: end.column,
  };
}
