import type {
  Algorithm,
  Dump,
  ExpectedFirmware,
  Firmware,
  FolderCheck,
  Manifest,
  Requirement,
  Selection,
  System,
} from '@firmtally/core';
import { digestsOf } from './memory-folder.js';

const LOCATION = { file: 'invented.yaml', line: 1, column: 1, endLine: 1, endColumn: 1 };

/** The dump that some bytes are. */
export function dumpOf(
  bytes: Uint8Array | string,
  options: { label?: string; size?: boolean; algorithms?: readonly Algorithm[] } = {},
): Dump {
  const content = typeof bytes === 'string' ? Buffer.from(bytes) : bytes;
  return {
    label: options.label ?? '#1',
    size: options.size === false ? null : content.length,
    digests: digestsOf(content, options.algorithms ?? ['crc32', 'md5', 'sha1']),
    location: LOCATION,
  };
}

export function firmware(id: string, given: Partial<Firmware> & { path: string }): Firmware {
  return {
    id,
    folder: null,
    defaultFolder: '',
    case: 'exact',
    note: null,
    dumps: [],
    members: null,
    location: LOCATION,
    ...given,
  };
}

export function expected(one: Firmware): ExpectedFirmware {
  const folder = one.folder ?? one.defaultFolder;
  return { firmware: one, expectedPath: folder === '' ? one.path : `${folder}/${one.path}` };
}

export function system(
  id: string,
  given: {
    name?: string;
    requires?: readonly Requirement[];
    optional?: readonly string[];
    folders?: readonly FolderCheck[];
    case?: 'exact' | 'ignore';
  },
): System {
  return {
    id,
    name: id,
    requires: [],
    optional: [],
    folders: [],
    case: 'exact',
    location: LOCATION,
    ...given,
  };
}

export function manifest(entries: readonly Firmware[], systems: readonly System[]): Manifest {
  return {
    sources: [{ path: 'invented.yaml', sha256: '0'.repeat(64), title: 'Invented card' }],
    firmware: new Map(entries.map((one) => [one.id, one])),
    systems: new Map(systems.map((one) => [one.id, one])),
    loadouts: new Map(),
  };
}

/** Everything in it. */
export function wholeSelection(of: Manifest): Selection {
  return {
    systems: [...of.systems.values()],
    loadout: null,
    firmware: [...of.firmware.values()].map(expected),
  };
}
