import { lstatSync, readdirSync, type Dirent, type Stats } from 'node:fs';
import { sep } from 'node:path';
import { setImmediate as nextTurn } from 'node:timers/promises';
import {
  decodeName,
  FirmtallyError,
  joinPath,
  type Entry,
  type EntryKind,
  type Fault,
  type LinkTarget,
} from '@firmtally/core';
import { faultOf, kindOf } from './fault.js';
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
export async function* walk(root: RootIdentity): AsyncGenerator<Entry | Fault> {
  const folders = [''];
  let turnStart = milliseconds();
  for (let folder = folders.pop(); folder !== undefined; folder = folders.pop()) {
    const listed = listFolder(root.path, folder);
    if ('code' in listed) {
      assertRootThere(root);
      if (listed.code !== 'vanished') yield { ...listed, path: folder === '' ? '.' : folder };
      continue;
    }
    for (const { name, kind } of listed.names) {
      const found = describe(root.path, joinPath(folder, name), kind);
      if (found === null) continue;
      if ('kind' in found && found.kind === 'folder') folders.push(found.path);
      yield found;
      if (milliseconds() - turnStart > TURN) {
        await nextTurn();
        turnStart = milliseconds();
      }
    }
  }
  assertRootThere(root);
}

interface Listed {
  readonly names: readonly { readonly name: string; readonly kind: EntryKind }[];
}

function listFolder(root: string, folder: string): Listed | Omit<Fault, 'path'> {
  const native = toNative(absolutePath(root, folder));
  try {
    const entries = readdirSync(native, { withFileTypes: true });
    // U+FFFD stands for bytes that are not UTF-8 (or for itself): ask for the bytes.
    if (process.platform === 'win32' || !entries.some(({ name }) => name.includes('\ufffd'))) {
      return { names: entries.map(named) };
    }
    const raw = readdirSync(native, { withFileTypes: true, encoding: 'buffer' });
    return { names: raw.map((entry) => ({ name: decodeName(entry.name), kind: kindOf(entry) })) };
  } catch (error) {
    return faultOf(error);
  }
}

function named(entry: Dirent): { name: string; kind: EntryKind } {
  return { name: entry.name, kind: kindOf(entry) };
}

/** The entry; null when it vanished since the folder was listed, which is no error. */
function describe(root: string, path: string, kind: EntryKind): Entry | Fault | null {
  // Folders need no stat; anything of unknown kind (some file systems tell none) does.
  if (kind === 'folder') return { path, kind, size: 0 };
  let stats: Stats | undefined;
  try {
    stats = lstatSync(toNative(absolutePath(root, path)), { throwIfNoEntry: false });
  } catch (error) {
    return { path, ...faultOf(error) };
  }
  if (stats === undefined) return null;
  const actual = kindOf(stats);
  if (actual === 'link') return describeLink(root, path);
  const readable = actual === 'file';
  return { path, kind: actual, size: readable ? stats.size : 0, modified: stats.mtimeMs };
}

function describeLink(root: string, path: string): Entry {
  const unread = (fault: LinkTarget['fault']): Entry => {
    return { path, kind: 'link', size: 0, link: { resolvesTo: null, fault } };
  };
  try {
    const target = resolveLinks(absolutePath(root, path));
    const resolvesTo = relativeTo(root, target);
    if (resolvesTo === null) return unread(target === root ? 'not-a-file' : 'outside-root');
    const stats = lstatSync(toNative(target));
    if (!stats.isFile()) return unread('not-a-file');
    const link = { resolvesTo, fault: null };
    return { path, kind: 'link', size: stats.size, modified: stats.mtimeMs, link };
  } catch {
    // Whatever keeps the target from being reached, the link leads nowhere.
    return unread('broken-link');
  }
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

/** Never set back, as `performance.now()`, which takes 2 ms to load in Node. */
function milliseconds(): number {
  return process.uptime() * 1000;
}
