import { lstatSync, readdirSync, type Dirent, type Stats } from 'node:fs';
import { sep } from 'node:path';
import { setImmediate as nextTurn } from 'node:timers/promises';
import {
  decodeName,
  FirmtallyError,
  isReadable,
  type Entry,
  type EntryKind,
  type Fault,
  type LinkFault,
  type LinkTarget,
  type Listed,
  type ListOptions,
} from '@firmtally/core';
import { joinPath } from '@firmtally/core/internal';
import { faultOf, kindOf, toReadError } from './fault.js';
import { relativeTo, resolveLinks, toNative } from './native-path.js';

/** Milliseconds of uninterrupted walking after which other tasks get a turn. */
const TURN = 20;

/** Identity of the root when it was opened: a card that is pulled out leaves another folder, or none. */
export interface RootIdentity {
  readonly path: string;
  readonly dev: number;
  readonly ino: number;
}

/**
 * Everything below the root, never following a link. Calls are synchronous:
 * for 100,000 files that is several times faster than promises, and the loop
 * gets a turn every 20 ms.
 *
 * @throws FirmtallyError('root-unreadable') when the root itself goes away
 */
export async function* walk(
  root: RootIdentity,
  options: ListOptions = {},
): AsyncGenerator<Entry | Fault> {
  const turns = new WalkTurns();
  for await (const batch of walkNames(root, options)) {
    for (const found of batch) {
      if (turns.isDue()) await turns.next();
      options.signal?.throwIfAborted();
      const entry = 'kind' in found ? withSize(root, found) : found;
      if (entry !== null) yield entry;
    }
  }
}

/** Names handed over at once: waiting for each by itself would take longer than listing them. */
const BATCH = 500;

/**
 * The same without sizes, which cost several times as much as the names; those
 * of one folder together, in order, so that sorting them all is quick.
 */
export async function* walkNames(
  root: RootIdentity,
  { signal }: ListOptions = {},
): AsyncGenerator<readonly (Listed | Fault)[]> {
  const folders = [''];
  const turns = new WalkTurns();
  for (let folder = folders.pop(); folder !== undefined; folder = folders.pop()) {
    const listed = listFolder(root.path, folder);
    if ('code' in listed) {
      assertRootThere(root);
      if (listed.code !== 'vanished') yield [{ ...listed, path: folder === '' ? '.' : folder }];
      continue;
    }
    const below: string[] = [];
    for (let start = 0; start < listed.length; start += BATCH) {
      if (turns.isDue()) await turns.next();
      signal?.throwIfAborted();
      const batch: (Listed | Fault)[] = [];
      for (const entry of listed.slice(start, start + BATCH)) {
        const { name } = entry;
        const kind = 'kind' in entry ? entry.kind : kindOf(entry);
        // What these are has to be asked of the drive, which may be slow.
        if ((kind === 'link' || kind === 'unknown') && turns.isDue()) await turns.next();
        const found = describe(root.path, joinPath(folder, name), kind);
        if (found === null) continue;
        if ('kind' in found && found.kind === 'folder') below.push(found.path);
        batch.push(found);
      }
      if (batch.length > 0) yield batch;
    }
    for (let path = below.pop(); path !== undefined; path = below.pop()) folders.push(path);
  }
  assertRootThere(root);
}

/** Size and time of something that was listed. Throws ReadError. */
export function statListed(root: RootIdentity, { path, kind, link }: Listed): Entry {
  try {
    const target = link?.resolvesTo ?? path;
    const { size, mtimeMs: modified } = lstatSync(toNative(absolutePath(root.path, target)));
    return link === undefined
      ? { path, kind, size, modified }
      : { path, kind, size, modified, link };
  } catch (error) {
    throw toReadError(error);
  }
}

/** Null when it vanished since the folder was listed, which is no error. */
function withSize(root: RootIdentity, found: Listed): Entry | Fault | null {
  if (!isReadable(found)) return { ...found, size: 0 };
  try {
    return statListed(root, found);
  } catch (error) {
    const { code, message } = toReadError(error);
    return code === 'vanished' ? null : { path: found.path, code, message };
  }
}

interface Named {
  readonly name: string;
  readonly kind: EntryKind;
}

function listFolder(
  root: string,
  folder: string,
): readonly (Dirent | Named)[] | Omit<Fault, 'path'> {
  const native = toNative(absolutePath(root, folder));
  try {
    const entries = readdirSync(native, { withFileTypes: true });
    // U+FFFD stands for bytes that are not UTF-8 (or for itself): ask for the bytes.
    if (process.platform === 'win32' || !entries.some(({ name }) => name.includes('\ufffd'))) {
      return inOrder(entries);
    }
    const raw = readdirSync(native, { withFileTypes: true, encoding: 'buffer' });
    return inOrder(raw.map((entry) => ({ name: decodeName(entry.name), kind: kindOf(entry) })));
  } catch (error) {
    return faultOf(error);
  }
}

function inOrder<Item extends { readonly name: string }>(items: Item[]): readonly Item[] {
  return items.sort((a, b) => (a.name < b.name ? -1 : 1));
}

/** What was listed; null when it vanished since, which is no error. */
function describe(root: string, path: string, kind: EntryKind): Listed | Fault | null {
  if (kind === 'link') return describeLink(root, path);
  // Some file systems do not tell what a name stands for.
  if (kind !== 'unknown') return { path, kind };
  let stats: Stats | undefined;
  try {
    stats = lstatSync(toNative(absolutePath(root, path)), { throwIfNoEntry: false });
  } catch (error) {
    return { path, ...faultOf(error) };
  }
  if (stats === undefined) return null;
  const actual = kindOf(stats);
  return actual === 'link' ? describeLink(root, path) : { path, kind: actual };
}

function describeLink(root: string, path: string): Listed {
  const link = (target: LinkTarget): Listed => ({ path, kind: 'link', link: target });
  const unread = (fault: LinkFault): Listed => link({ resolvesTo: null, fault });
  try {
    const target = resolveLinks(absolutePath(root, path));
    const resolvesTo = relativeTo(root, target);
    if (resolvesTo === null) return unread(target === root ? 'not-a-file' : 'outside-root');
    const isFile = lstatSync(toNative(target)).isFile();
    return isFile ? link({ resolvesTo, fault: null }) : unread('not-a-file');
  } catch (error) {
    return unread(linkFaultOf(error));
  }
}

/** Only what is not there, or goes in a circle, leads nowhere; else it is not known where it leads. */
function linkFaultOf(error: unknown): LinkFault {
  const { code } = faultOf(error);
  if (code === 'permission-denied') return code;
  return code === 'vanished' || code === 'broken-link' ? 'broken-link' : 'io-error';
}

/** Root and '/'-joined relative path as one path of this system. */
export function absolutePath(root: string, path: string): string {
  if (path === '') return root;
  const below = sep === '/' ? path : path.replaceAll('/', sep);
  return root.endsWith(sep) ? root + below : root + sep + below;
}

function assertRootThere(root: RootIdentity): void {
  let now: Stats | undefined;
  try {
    now = lstatSync(toNative(root.path), { throwIfNoEntry: false });
  } catch {
    // Any failure to see the root is the same finding: it is gone.
  }
  if (now?.dev === root.dev && now.ino === root.ino) return;
  throw new FirmtallyError(
    'root-unreadable',
    `${root.path}: the folder went away while it was read`,
    'Put the card back in, check that it is mounted, and run again.',
  );
}

/** When the walk has to let others have their turn. */
class WalkTurns {
  #start = milliseconds();

  isDue(): boolean {
    return milliseconds() - this.#start > TURN;
  }

  async next(): Promise<void> {
    await nextTurn();
    this.#start = milliseconds();
  }
}

/** Never set back, as `performance.now()`, which takes 2 ms to load in Node. */
function milliseconds(): number {
  return process.uptime() * 1000;
}
