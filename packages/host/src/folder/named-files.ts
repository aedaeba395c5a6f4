import { resolve } from 'node:path';
import { ReadError, type ContentSource } from '@firmtally/core';
import { readRegularFile } from './read-file.js';

/** Files of this machine by path. */
export interface HostFiles extends ContentSource {
  /** Path of this system for one of this source's paths; what is not UTF-8 in it as U+DCNN. */
  absolute(path: string): string;
  /** Resolved folder that every file must be in; null when files are named one by one. */
  readonly confinedTo: string | null;
}

/**
 * Files the user names one by one: any path, links followed, but regular
 * files only (a FIFO or device is refused before it is opened).
 *
 * @param cwd folder that relative paths start from
 */
export function namedFiles(cwd: string): HostFiles {
  return {
    confinedTo: null,
    absolute: (path) => resolve(cwd, path),
    async *open(path, range) {
      if (path.includes('\0')) throw new ReadError('vanished', 'no name can hold a NUL byte');
      yield* readRegularFile(resolve(cwd, path), null, range);
    },
  };
}
