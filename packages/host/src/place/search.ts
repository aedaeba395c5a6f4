import type { Algorithm, SearchedSource, SearchResult } from '@firmtally/core';
import { searchSources, type KnownDumps, type ProgressCount } from '@firmtally/core/internal';
import { defaultJobs } from '../digest/digester.js';
import { nodePlatform } from '../platform.js';

/** Taken of all that is read, whatever the manifest gives, so that a copy is always checked well. */
export const ALWAYS: readonly Algorithm[] = ['crc32', 'md5', 'sha1'];

/** How a search goes about it. */
export interface SearchTools {
  readonly known: KnownDumps;
  /** Threads that hash. */
  readonly jobs: number | undefined;
  readonly signal: AbortSignal | undefined;
  readonly progress: ProgressCount;
}

/** Searches places, several files at a time. Rejects with the signal's reason. */
export function search(
  sources: readonly SearchedSource[],
  { known, jobs, signal, progress }: SearchTools,
): Promise<SearchResult> {
  return searchSources({
    sources,
    known,
    platform: nodePlatform,
    always: ALWAYS,
    // One file waits for each that is being hashed, so that no thread does.
    jobs: 2 * (jobs ?? defaultJobs()),
    signal,
    count: progress,
  });
}
