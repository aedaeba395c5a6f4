import { isReadable } from '../bytes/source.js';
import { naming } from '../digest/platform-failure.js';
import { USUAL_JOBS } from '../digest/source-task.js';
import { eachLimited } from '../each-limited.js';
import { FileSearch } from './file-search.js';
import type { SearchInput, SearchResult } from './found.js';

/**
 * Tells which dumps the files of some sources are, whole or inside ZIP and gzip
 * files, two levels deep. Each file is read once for everything that wants it,
 * several at a time, and only when its size or name speak for it;
 * `RECOGNISE_LIMITS` has the bounds, and what they left out is said.
 */
export async function searchSources(input: SearchInput): Promise<SearchResult> {
  const files = input.sources.flatMap((source) =>
    source.entries.filter(isReadable).map((entry) => new FileSearch(input, source, entry)),
  );
  await eachLimited(files, input.jobs ?? USUAL_JOBS, async (file) => {
    input.signal?.throwIfAborted();
    await naming(file.path, file.run());
  });
  return {
    found: files.flatMap(({ found }) => found),
    faults: files.flatMap(({ faults }) => faults),
  };
}
