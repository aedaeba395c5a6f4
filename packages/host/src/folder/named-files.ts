import { resolve } from 'node:path';
import { ReadError } from '@firmtally/core';
import type { HostFiles } from './open-folder.js';
import { readRegularFile } from './read-file.js';

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
