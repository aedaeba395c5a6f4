import { lstatSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { FirmtallyError, type Entry } from '@firmtally/core';
import { toNative } from '../folder/native-path.js';

/** A folder, with the folders found in it. */
export interface ListedFolder {
  /** Absolute, links resolved. */
  readonly path: string;
  /** Paths below it; only folders among them matter. */
  readonly entries: readonly Entry[];
}

/**
 * Refuses a source that is the card, lies on it, or holds it; by names, and by
 * device and inode, since a bind mount, a junction or other letter case gives
 * one folder two names. `folder` is what was named, or for a single file the
 * folder it lies in, which may well hold the card too.
 *
 * @throws FirmtallyError('usage')
 */
export function refuseOverlap(
  { name, kind, folder }: { name: string; kind: 'file' | 'folder'; folder: string },
  card: string,
): void {
  if (lineage(folder).has(identityOf(card))) throw onCard(name);
  if (kind === 'folder' && lineage(card).has(identityOf(folder))) throw holdsCard(name);
}

/** The same for folders inside: a source may be mounted on the card, or a part of the card in a source. */
export function refuseSharedFolders(name: string, source: ListedFolder, card: ListedFolder): void {
  const ofCard = foldersOf(card);
  for (const [identity, path] of foldersOf(source)) {
    const same = ofCard.get(identity);
    if (same === undefined) continue;
    throw path === source.path ? onCard(name) : holdsCard(name, path);
  }
}

function foldersOf({ path, entries }: ListedFolder): Map<Identity, string> {
  const found = new Map<Identity, string>([[identityOf(path), path]]);
  for (const entry of entries) {
    if (entry.kind !== 'folder') continue;
    const folder = join(path, entry.path);
    found.set(identityOf(folder), folder);
  }
  return found;
}

/** Device and inode as one comparable text. */
type Identity = string;

/** The path itself where the system gives no inode, or does not say: then only equal names are equal. */
function identityOf(path: string): Identity {
  try {
    const { dev, ino } = lstatSync(toNative(path), { bigint: true });
    return ino === 0n ? path : `${dev}:${ino}`;
  } catch {
    return path; // gone, or above a folder that may not be searched: opening it says what is wrong
  }
}

/** A folder and all above it. */
function lineage(path: string): Set<Identity> {
  const found = new Set<Identity>();
  for (let folder = path; ; folder = dirname(folder)) {
    found.add(identityOf(folder));
    if (folder === dirname(folder)) return found;
  }
}

function onCard(name: string): FirmtallyError {
  return new FirmtallyError(
    'usage',
    `The source ${name} is on the card itself.`,
    'Leave it out: files on the card are found and used without being named.',
  );
}

function holdsCard(name: string, path: string | null = null): FirmtallyError {
  return new FirmtallyError(
    'usage',
    `The source ${name} holds the card${path === null ? '' : `, or a part of it, at ${path}`}.`,
    'Name only the files or folders that are not on the card.',
  );
}
