import { sortAlgorithms, type Algorithm, type StreamDigests } from '../bytes/digests.js';
import type { FolderSource } from '../bytes/source.js';
import type { DigestEngine } from '../digest/engine.js';
import { digestFile } from '../digest/stream.js';

/**
 * The same folder, which remembers the digests of its files, so that the judge
 * and the search do not read one twice; for one look, as files change.
 *
 * @param algorithms all that anybody may ask for, taken in one pass
 */
export function remembering(
  folder: FolderSource,
  algorithms: readonly Algorithm[],
  engine: DigestEngine,
): FolderSource {
  const all = sortAlgorithms(algorithms);
  const known = new Map<string, Promise<StreamDigests>>();
  return {
    ...folder,
    list: (options) => folder.list(options),
    open: (path, range) => folder.open(path, range),
    digestFile: async (path, _algorithms, options) => {
      const earlier = known.get(path);
      if (earlier !== undefined) {
        const digests = await earlier;
        options?.onBytes?.(digests.size);
        return digests;
      }
      const reading = digestFile(folder, path, all, engine, options);
      known.set(path, reading);
      // What failed, perhaps by a signal, may be asked for again.
      reading.catch(() => known.delete(path));
      return reading;
    },
  };
}
