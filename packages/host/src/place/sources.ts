import { lstatSync, statSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { FirmtallyError, type ContentSource, type Entry, type Fault } from '@firmtally/core';
import { buildInventory } from '@firmtally/core/internal';
import { kindOf } from '../folder/fault.js';
import { namedFiles } from '../folder/named-files.js';
import { resolveLinks, toNative } from '../folder/native-path.js';
import { withSlashes } from '../folder/with-slashes.js';
import { openFolder, type HostFiles } from '../folder/open-folder.js';
import { refuseOverlap } from './overlap.js';

/** One source of the pile: a folder, or a single file. */
export interface PileSource {
  /** As the caller named it, with '/' separators. */
  readonly name: string;
  readonly kind: 'file' | 'folder';
  readonly files: HostFiles;
  /** In UTF-8 order of path. */
  readonly entries: readonly Entry[];
  readonly faults: readonly Fault[];
  /** Absolute, links resolved: the folder, or the one that the single file lies in. */
  readonly folder: string;
  /** Path within `files` -> path in an origin ('' for a single file). */
  originPath(path: string): string;
  /** The inverse. */
  filePath(originPath: string): string;
}

/**
 * Opens the sources, each once. None may be the card, lie on it, or hold it:
 * files on the card are found without being named, and what is moved on the
 * card must never be what was promised to stay untouched.
 *
 * @param cwd folder that relative paths start from
 * @param card path of the card
 * @throws FirmtallyError('usage'), or ('root-unreadable') for a source that cannot be listed
 */
export async function openSources(
  names: readonly string[],
  cwd: string,
  card: string,
): Promise<readonly PileSource[]> {
  const cardReal = resolveLinks(resolve(cwd, card));
  const sources: PileSource[] = [];
  for (const name of new Set(names)) {
    const source = await openSource(name, cwd);
    refuseOverlap({ ...source, name }, cardReal);
    sources.push(source);
  }
  return sources;
}

async function openSource(name: string, cwd: string): Promise<PileSource> {
  const absolute = resolve(cwd, name);
  const shown = withSlashes(name);
  if (!isFile(absolute, name)) {
    const folder = await openFolder(absolute);
    const { entries, faults } = await buildInventory(folder);
    const same = (path: string): string => path;
    return {
      name: shown,
      kind: 'folder',
      files: folder,
      entries,
      faults,
      folder: resolveLinks(absolute),
      originPath: same,
      filePath: same,
    };
  }
  const files: HostFiles & ContentSource = namedFiles(cwd);
  const { size } = statSync(toNative(absolute));
  // The link itself, if it is one, was named by the person and may lead anywhere.
  const entry: Entry = { path: absolute, kind: 'file', size };
  return {
    name: shown,
    kind: 'file',
    files,
    entries: [entry],
    faults: [],
    folder: dirname(resolveLinks(absolute)),
    originPath: () => '',
    filePath: () => absolute,
  };
}

function isFile(path: string, name: string): boolean {
  const stats = statSync(toNative(path), { throwIfNoEntry: false });
  if (stats === undefined) {
    const broken = lstatSync(toNative(path), { throwIfNoEntry: false }) !== undefined;
    throw new FirmtallyError(
      'usage',
      `${name}: ${broken ? 'a link that leads nowhere' : 'no such file or folder'}`,
      'Check the path of the source.',
    );
  }
  const kind = kindOf(stats);
  if (kind === 'file' || kind === 'folder') return kind === 'file';
  throw new FirmtallyError(
    'usage',
    `${name} is neither a file nor a folder`,
    'Name the files or folders to place from.',
  );
}
