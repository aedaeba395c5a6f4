import {
  closeSync,
  constants,
  fstatSync,
  lstatSync,
  openSync,
  read as readCallback,
  readSync,
  statSync,
  type BigIntStats,
} from 'node:fs';
import { promisify } from 'node:util';
import { ReadError, type ByteRange, type ByteStream, type EntryKind } from '@firmtally/core';
import { kindOf, toReadError } from './fault.js';
import { relativeTo, resolveLinks, toNative } from './native-path.js';

/** Bytes of one read that overlaps with hashing. */
const BLOCK = 1 << 20;

/** Bytes of one read that does not: what fits into a core's own cache is copied and hashed from there. */
const SMALL_BLOCK = 128 << 10;

/**
 * Bytes from which on one block is hashed while the next is read. Below it the
 * hop to another thread for every block costs more (measured: a fifth of the
 * CPU time) than waiting for a device that reads ahead by itself.
 */
const OVERLAP_FROM = 64 << 20;

/** Absent on Windows, where there are no FIFOs to wait on and a link opens its target. */
const SAFE_OPEN =
  constants.O_RDONLY |
  ((constants.O_NOFOLLOW as number | undefined) ?? 0) |
  ((constants.O_NONBLOCK as number | undefined) ?? 0);

const readAsync = promisify(readCallback);

/**
 * Streams a regular file. Never opens anything else, and with `root` nothing
 * that lies outside it once links are resolved. Chunks are at most 1 MiB.
 *
 * @param path absolute, decoded
 * @param root resolved folder the file must be in, or null for a file the user named
 * @throws ReadError, also when the file changed between the first and last byte
 */
export async function* readRegularFile(
  path: string,
  root: string | null,
  range?: ByteRange,
): ByteStream {
  let opened: Opened | null = null;
  try {
    opened = openRegular(path, root);
    const size = Number(opened.before.size);
    const start = Math.min(range?.start ?? 0, size);
    const end = range === undefined ? size : Math.min(Math.max(range.end, start), size);
    let count = 0;
    for await (const chunk of readBlocks(opened.fd, start, end, range === undefined)) {
      count += chunk.length;
      yield chunk;
    }
    if (count !== end - start || !isUnchanged(opened)) {
      throw new ReadError('changed-while-read', 'it changed while it was read');
    }
  } catch (error) {
    throw toReadError(error);
  } finally {
    if (opened !== null) closeSync(opened.fd);
  }
}

interface Opened {
  readonly fd: number;
  readonly before: BigIntStats;
}

function openRegular(path: string, root: string | null): Opened {
  // Links are resolved first, so that a link inside the root reads as its target.
  const resolved = resolveTarget(path);
  if (root !== null && relativeTo(root, resolved) === null) {
    throw new ReadError('outside-root', 'it leads out of the root folder');
  }
  const target = toNative(resolved);
  // Asked before opening: opening alone can set a device in motion.
  assertFile(kindOf(lstatSync(target)));
  const fd = openSync(target, SAFE_OPEN);
  try {
    const before = fstatSync(fd, { bigint: true });
    assertFile(kindOf(before));
    return { fd, before };
  } catch (error) {
    closeSync(fd);
    throw error;
  }
}

function resolveTarget(path: string): string {
  try {
    return resolveLinks(path);
  } catch (error) {
    // A shell's <(command) is a link to a pipe without a name: it is there, but leads to no path.
    const stats = statSync(toNative(path), { throwIfNoEntry: false });
    if (stats !== undefined) assertFile(kindOf(stats));
    throw error;
  }
}

const KIND_TEXT: Readonly<Record<EntryKind, string>> = {
  file: 'a file',
  folder: 'a folder',
  link: 'a link',
  fifo: 'a FIFO (named pipe)',
  socket: 'a socket',
  device: 'a device',
  unknown: 'not a regular file',
};

function assertFile(kind: EntryKind): void {
  if (kind !== 'file') throw new ReadError('not-a-file', `it is ${KIND_TEXT[kind]}`, { kind });
}

function isUnchanged({ fd, before }: Opened): boolean {
  const after = fstatSync(fd, { bigint: true });
  return (
    after.size === before.size &&
    after.mtimeNs === before.mtimeNs &&
    // On Windows reading alone may change it, through the time of last access.
    (process.platform === 'win32' || after.ctimeNs === before.ctimeNs)
  );
}

/** Reads `start` to `end`; with `past` also what lies after `end`, so that a file that grew is noticed. */
async function* readBlocks(fd: number, start: number, end: number, past: boolean): ByteStream {
  // One byte more is enough to tell that the file grew, and keeps a file that never stops growing bounded.
  const limit = past ? end + 1 : end;
  if (limit - start < OVERLAP_FROM) yield* readInTurn(fd, start, limit);
  else yield* readOverlapping(fd, start, limit);
}

function* readInTurn(fd: number, start: number, limit: number): Generator<Uint8Array> {
  const block = Buffer.allocUnsafe(Math.min(SMALL_BLOCK, limit - start));
  for (let position = start; position < limit;) {
    const wanted = Math.min(block.length, limit - position);
    const count = readFully(fd, block, wanted, position);
    if (count > 0) yield block.subarray(0, count);
    if (count < wanted) return;
    position += count;
  }
}

/** Two blocks are held: one is hashed while the other fills. */
async function* readOverlapping(fd: number, start: number, limit: number): ByteStream {
  const blocks = [Buffer.allocUnsafeSlow(BLOCK), Buffer.allocUnsafeSlow(BLOCK)] as const;
  let position = start;
  let turn: 0 | 1 = 0;
  const fill = (): Promise<number> =>
    readAsync(fd, blocks[turn], 0, Math.min(BLOCK, limit - position), position).then(
      ({ bytesRead }) => bytesRead,
    );
  let pending = fill();
  try {
    for (;;) {
      const count = await pending;
      if (count === 0) return;
      const full = blocks[turn];
      position += count;
      turn = turn === 0 ? 1 : 0;
      pending = position < limit ? fill() : Promise.resolve(0);
      // A failed read-ahead is reported when its turn comes, not as an unhandled rejection.
      pending.catch(() => undefined);
      yield full.subarray(0, count);
    }
  } finally {
    // The descriptor must not be closed under a running read.
    await pending.catch(() => undefined);
  }
}

function readFully(fd: number, block: Buffer, wanted: number, start: number): number {
  let count = 0;
  while (count < wanted) {
    const got = readSync(fd, block, count, wanted - count, start + count);
    if (got === 0) break;
    count += got;
  }
  return count;
}
