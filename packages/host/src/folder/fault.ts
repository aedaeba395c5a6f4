import { ReadError, type EntryKind, type FaultCode } from '@firmtally/core';
import type { BigIntStats, Dirent, Stats } from 'node:fs';

const CODES: Readonly<Record<string, readonly [FaultCode, string]>> = {
  ENOENT: ['vanished', 'it is no longer there'],
  ENOTDIR: ['vanished', 'it is no longer there'],
  ESTALE: ['vanished', 'the card or share it was on is gone'],
  ENODEV: ['vanished', 'the card or share it was on is gone'],
  ENXIO: ['not-a-file', 'it is a device or socket'],
  EACCES: ['permission-denied', 'no permission to read it'],
  EPERM: ['permission-denied', 'no permission to read it'],
  ELOOP: ['broken-link', 'a link that leads in a circle, or that took the place of the file'],
  EISDIR: ['not-a-file', 'it is a folder'],
  EBUSY: ['busy', 'another program has it open'],
  ETXTBSY: ['busy', 'another program has it open'],
  ENAMETOOLONG: ['io-error', 'its path is longer than this system can open'],
  EMFILE: ['io-error', 'too many files are open on this machine'],
  ENFILE: ['io-error', 'too many files are open on this machine'],
  EIO: ['io-error', 'the drive failed to read it (EIO)'],
};

/** The fault code and sentence for an fs error. */
export function faultOf(error: unknown): { code: FaultCode; message: string } {
  const code = (error as NodeJS.ErrnoException).code ?? '';
  const known = CODES[code];
  if (known !== undefined) return { code: known[0], message: known[1] };
  const text = error instanceof Error ? error.message : String(error);
  return { code: 'io-error', message: `the system failed to read it (${code || text})` };
}

/** Any error as a ReadError; one that is already stays as it is. */
export function toReadError(error: unknown): ReadError {
  if (error instanceof ReadError) return error;
  const { code, message } = faultOf(error);
  const isFolder = (error as NodeJS.ErrnoException).code === 'EISDIR';
  return new ReadError(code, message, { cause: error, kind: isFolder ? 'folder' : null });
}

/** What kind of entry a stat or directory entry is. */
export function kindOf(entry: Stats | BigIntStats | Dirent | Dirent<Buffer>): EntryKind {
  if (entry.isFile()) return 'file';
  if (entry.isDirectory()) return 'folder';
  if (entry.isSymbolicLink()) return 'link';
  if (entry.isFIFO()) return 'fifo';
  if (entry.isSocket()) return 'socket';
  if (entry.isBlockDevice() || entry.isCharacterDevice()) return 'device';
  return 'unknown';
}
