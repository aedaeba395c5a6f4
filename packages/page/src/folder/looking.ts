import type { TaskProgress } from '@firmtally/core';

/** So many files have been looked at. */
export function looking(files: number, totalFiles: number | null, path: string): TaskProgress {
  return {
    phase: 'list',
    files,
    totalFiles,
    bytes: 0,
    totalBytes: null,
    bytesPerSecond: null,
    path,
  };
}
