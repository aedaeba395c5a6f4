import type { Algorithm, Digests } from '../bytes/digests.js';
import { sortedBy } from '../text/order.js';
import type {
  WrittenDump,
  WrittenFile,
  WrittenFirmware,
  WrittenFolderCheck,
  WrittenLoadout,
  WrittenSystem,
  Located,
} from './written.js';
import type {
  Dump,
  Firmware,
  FolderCheck,
  Loadout,
  Manifest,
  ManifestSource,
  System,
} from './model.js';
import { spotLocation } from './parse/source-text.js';

/** Makes the model of files that have no errors. */
export function buildManifest(
  files: readonly WrittenFile[],
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

export function toFirmware(written: WrittenFirmware): Firmware {
  return {
    id: written.id.value,
    ...toPlacing(written),
    case: written.file.case,
    note: written.note,
    dumps: written.dumps.map(toDump),
    members:
      written.members?.map((member) => ({
        path: member.path?.value ?? '',
        dumps: member.dumps.map(toDump),
      })) ?? null,
    location: spotLocation(written.id.spot),
  };
}

/** What says where an entry is expected. */
export function toPlacing(
  written: WrittenFirmware,
): Pick<Firmware, 'path' | 'folder' | 'defaultFolder'> {
  return {
    path: written.path?.value ?? '',
    folder: written.folder === null ? null : folderOf(written.folder),
    defaultFolder: folderOf(written.file.folder),
  };
}

function toDump(written: WrittenDump, index: number): Dump {
  const digests: Partial<Record<Algorithm, string>> = {};
  for (const { algorithm, value } of written.digests) digests[algorithm] = value.toLowerCase();
  return {
    label: written.label ?? `#${index + 1}`,
    size: written.size?.value ?? null,
    digests: digests satisfies Digests,
    location: spotLocation(written.spot),
  };
}

export function toSystem(written: WrittenSystem): System {
  const id = written.id.value;
  return {
    id,
    name: written.name ?? id,
    requires: written.requires.map(({ anyOf, ids }) =>
      anyOf
        ? { anyOf: ids.map(({ value }) => value) }
        : { firmware: ids.map(({ value }) => value).join() },
    ),
    optional: written.optional.map(({ value }) => value),
    folders: written.folders.map(toFolderCheck),
    case: written.file.case,
    location: spotLocation(written.id.spot),
  };
}

function toFolderCheck(written: WrittenFolderCheck): FolderCheck {
  return {
    path: folderOf(written.path),
    atLeast: written.atLeast ?? 1,
    extensions: lowered(written.extensions),
    pictures:
      written.pictures === null
        ? null
        : {
            folder: folderOf(written.pictures.folder),
            extensions: lowered(written.pictures.extensions),
          },
  };
}

function lowered(extensions: readonly Located<string>[]): string[] {
  return extensions.map(({ value }) => value.toLowerCase());
}

export function toLoadout(written: WrittenLoadout): Loadout {
  return {
    id: written.id.value,
    name: written.name,
    systems: written.systems.map(({ value }) => value),
    folder: written.folder === null ? null : folderOf(written.folder),
    content: new Map(
      sortedBy(
        written.content.map(({ from, to }) => [folderOf(from), folderOf(to)] as const),
        ([from]) => from,
      ),
    ),
    location: spotLocation(written.id.spot),
  };
}

/** '.' and nothing mean the root, which is ''. */
function folderOf(folder: Located<string> | null): string {
  return folder === null || folder.value === '.' ? '' : folder.value;
}
