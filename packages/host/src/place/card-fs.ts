import { constants, type BigIntStats } from 'node:fs';
import { link, lstat, mkdir, open, readdir, rename, statfs, unlink } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { decodeName, type ByteStream, type EntryKind } from '@firmtally/core';
import { kindOf } from '../folder/fault.js';
import { relativeTo, resolveLinks, toNative } from '../folder/native-path.js';
import { readRegularFile } from '../folder/read-file.js';
import { patientRename } from './patient-rename.js';

/** What is at a path, links not followed. */
export interface CardStat {
  readonly kind: EntryKind;
  /** Bytes. */
  readonly size: number;
}

/** A new file being written. */
export interface CardFile {
  /** Writes all of the chunk. */
  write(chunk: Uint8Array): Promise<void>;
  /** Resolves once the bytes are on the device, as far as it tells the truth. */
  sync(): Promise<void>;
  close(): Promise<void>;
}

/**
 * The calls that placing makes on a card: the seam where tests cut the power.
 * Paths are '/'-joined below the root, '' is the root. Errors are those of fs.
 */
export interface CardFs {
  /** Null when there is nothing. */
  stat(path: string): Promise<CardStat | null>;
  /** Names in a folder. */
  list(path: string): Promise<string[]>;
  /** Where a folder really is, below the root; null when links lead out of it. */
  resolve(path: string): Promise<string | null>;
  makeFolder(path: string): Promise<void>;
  /** Fails with EEXIST when anything is there, a link included. */
  create(path: string): Promise<CardFile>;
  /** Regular files only, and only inside the root. Throws ReadError. */
  read(path: string): ByteStream;
  /** A second name for a file; fails with EEXIST when the name is taken. */
  link(path: string, to: string): Promise<void>;
  rename(path: string, to: string): Promise<void>;
  remove(path: string): Promise<void>;
  /** Makes names in a folder durable where the system can. */
  syncFolder(path: string): Promise<void>;
  /** Bytes free for this user and bytes of a cluster; null when the system does not say. */
  space(): Promise<CardSpace | null>;
  /** Whether the root is still the folder it was. */
  isThere(): Promise<boolean>;
}

/** What a card says of its room. */
export interface CardSpace {
  readonly free: number;
  readonly clusterSize: number;
}

/** Absent on Windows, where O_EXCL alone refuses a link. */
const NEW_FILE =
  constants.O_WRONLY |
  constants.O_CREAT |
  constants.O_EXCL |
  ((constants.O_NOFOLLOW as number | undefined) ?? 0);

/** What folders answer to fsync where they cannot be synced: Windows, some FUSE and network file systems. */
const NO_FOLDER_SYNC = new Set([
  'EINVAL',
  'EISDIR',
  'EPERM',
  'EACCES',
  'EBADF',
  'ENOTSUP',
  'ENOSYS',
]);

/**
 * The card at a folder of this machine. The folder itself may be a link.
 *
 * @throws fs errors when it is not there
 */
export async function openCard(root: string): Promise<CardFs> {
  const real = resolveLinks(resolve(root));
  const identity = await lstat(toNative(real), { bigint: true });
  const at = (path: string): string | Buffer => toNative(path === '' ? real : join(real, path));
  return {
    stat: async (path) => {
      const stats = await orNull(lstat(at(path), { bigint: true }));
      return stats === null ? null : { kind: kindOf(stats), size: Number(stats.size) };
    },
    list: async (path) => (await readdir(at(path), { encoding: 'buffer' })).map(decodeName),
    // eslint-disable-next-line @typescript-eslint/require-await -- rejects instead of throwing
    resolve: async (path) => {
      if (path === '') return '';
      return relativeTo(real, resolveLinks(join(real, path)));
    },
    makeFolder: async (path) => {
      await mkdir(at(path));
    },
    create: async (path) => {
      const handle = await open(at(path), NEW_FILE, 0o666);
      return {
        write: async (chunk) => {
          for (let done = 0; done < chunk.length;) {
            done += (await handle.write(chunk, done, chunk.length - done)).bytesWritten;
          }
        },
        sync: () => handle.sync(),
        close: () => handle.close(),
      };
    },
    read: (path) => readRegularFile(join(real, path), real),
    link: (path, to) => link(at(path), at(to)),
    rename: (path, to) => patientRename(() => rename(at(path), at(to))),
    remove: (path) => unlink(at(path)),
    syncFolder: async (path) => {
      try {
        const handle = await open(at(path), constants.O_RDONLY);
        await handle.sync().finally(() => handle.close());
      } catch (error) {
        if (!NO_FOLDER_SYNC.has((error as NodeJS.ErrnoException).code ?? '')) throw error;
      }
    },
    space: async () => {
      const { bavail, blocks, bsize } = await statfs(at(''));
      // Some FUSE and network file systems answer with zeros.
      return bsize > 0 && blocks > 0 ? { free: bavail * bsize, clusterSize: bsize } : null;
    },
    isThere: async () => {
      const stats = await orNull(lstat(at(''), { bigint: true }));
      return stats !== null && stats.dev === identity.dev && stats.ino === identity.ino;
    },
  };
}

async function orNull(stats: Promise<BigIntStats>): Promise<BigIntStats | null> {
  try {
    return await stats;
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    if (code === 'ENOENT' || code === 'ENOTDIR') return null;
    throw error;
  }
}
