import { lstatSync, readdirSync } from 'node:fs';
import { resolve } from 'node:path';
import {
  FirmtallyError,
  ReadError,
  type ByteRange,
  type ByteStream,
  type FolderSource,
} from '@firmtally/core';
import { restartingDigester, type DigesterOptions, type HostDigester } from '../digest/digester.js';
import type { HostFiles } from './named-files.js';
import { toNative, resolveLinks } from './native-path.js';
import { readRegularFile } from './read-file.js';
import { absolutePath, statListed, walk, walkNames, type RootIdentity } from './walk.js';

/** A folder of this machine as the core's root. Hashes its files on threads once there is enough to do. */
export type HostFolder = FolderSource & HostFiles & HostDigester & { readonly confinedTo: string };

/** Where a folder is looked for, and how its files are hashed. */
export interface OpenFolderOptions extends DigesterOptions {
  /** What paths are relative to; the process's current folder when not given. */
  readonly cwd?: string | undefined;
}

/**
 * Opens a folder. The root itself may be a link; below it links are
 * classified, never followed.
 *
 * @param root absolute, or relative to `cwd`; errors name it as it is given
 * @throws FirmtallyError('root-unreadable') when it is not a folder that can be listed
 * @example
 * const folder = await openFolder('card');
 * const { digests } = await folder.digestFile('osprey_boot.bin', ['crc32']);
 * await folder.close();
 * digests; // => { crc32: 'cbf43926' }
 */
// eslint-disable-next-line @typescript-eslint/require-await -- a promise so that failures are rejections, and I/O may become asynchronous
export async function openFolder(
  root: string,
  options: OpenFolderOptions = {},
): Promise<HostFolder> {
  const identity = identify(root, options.cwd ?? process.cwd());
  const absolute = (path: string): string => absolutePath(identity.path, checkRelative(path));
  const files = {
    confinedTo: identity.path,
    absolute,
    async *open(path: string, range?: ByteRange): ByteStream {
      yield* readRegularFile(absolute(path), identity.path, range);
    },
  };
  return {
    ...files,
    ...restartingDigester(files, options),
    list: (options) => walk(identity, options),
    names: {
      list: (options) => walkNames(identity, options),
      stat: (entry) => statListed(identity, entry),
    },
  };
}

function identify(root: string, cwd: string): RootIdentity {
  try {
    const path = resolveLinks(resolve(cwd, root));
    const { dev, ino } = lstatSync(toNative(path));
    readdirSync(toNative(path));
    return { path, dev, ino };
  } catch (error) {
    const [why, remedy] = rootTrouble((error as NodeJS.ErrnoException).code);
    throw new FirmtallyError('root-unreadable', `${root}: ${why}`, remedy, { cause: error });
  }
}

function rootTrouble(code: string | undefined): [string, string] {
  switch (code) {
    case 'ENOENT':
      return ['no such folder', 'Check the path, and that the card is mounted.'];
    case 'ENOTDIR':
      return ['not a folder', 'Name the folder that holds the files.'];
    case 'EACCES':
    case 'EPERM':
      return ['no permission to list this folder', 'Grant read permission, or run as its owner.'];
    case 'ELOOP':
      return ['a link that leads in a circle', 'Name the folder itself.'];
    default:
      return [`the folder cannot be listed (${code ?? 'unknown error'})`, 'Check the drive.'];
  }
}

/** The path if it stays below the root by its names alone; '' is the root. */
function checkRelative(path: string): string {
  const names = path.split('/');
  const bad =
    path !== '' &&
    names.some((name) => name === '' || name === '.' || name === '..' || name.includes('\0'));
  const badOnWindows = process.platform === 'win32' && /[\\:]/u.test(path);
  if (bad || badOnWindows) {
    throw new ReadError('outside-root', 'its path is not one below the root');
  }
  return path;
}
