import type { Algorithm, ProgressCount, SearchedSource, SearchResult } from '@firmtally/core';
import { searchSources, type KnownDumps } from '@firmtally/core/internal';
import { zipReader } from '../archive/zip-reader.js';
import { createDigester, defaultJobs } from '../digest/digester.js';
import { nativeDigestStream } from '../digest/native-digests.js';
import type { PileSource } from './sources.js';

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

/** Searches the sources of a pile, several files at a time. Rejects with the signal's reason. */
export async function searchPile(
  sources: readonly PileSource[],
  tools: SearchTools,
): Promise<SearchResult> {
  const { jobs } = tools;
  const opened = sources.map((source) => ({
    source,
    digester: createDigester(source.files, jobs === undefined ? {} : { jobs }),
  }));
  try {
    return await search(
      opened.map(({ source, digester }) => ({
        name: source.name,
        entries: source.entries,
        content: source.files,
        digester,
        originPath: (path) => source.originPath(path),
      })),
      tools,
    );
  } finally {
    for (const { digester } of opened) await digester.close();
  }
}

/** Searches places whose files are read by digesters of the caller. */
export function search(
  sources: readonly SearchedSource[],
  { known, jobs, signal, progress }: SearchTools,
): Promise<SearchResult> {
  return searchSources({
    sources,
    known,
    archives: zipReader,
    digestStream: nativeDigestStream,
    always: ALWAYS,
    // One file waits for each that is being hashed, so that no thread does.
    jobs: 2 * (jobs ?? defaultJobs()),
    ...(signal === undefined ? {} : { signal }),
    onFile: {
      expect: (bytes) => progress.expect(bytes),
      advance: (bytes, path) => progress.advance(bytes, path),
      done: (path) => progress.done(path),
    },
  });
}
