import type { ContentSource, RandomAccess } from '@firmtally/core';

/**
 * A file of a folder as random-access bytes, for {@link zipReader}. Each read
 * opens the file anew, so nothing needs closing.
 *
 * @param size bytes, as listed
 */
export function fileAccess(folder: ContentSource, path: string, size: number): RandomAccess {
  return { size, read: (range) => folder.open(path, range) };
}
