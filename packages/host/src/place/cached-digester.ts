import type { Algorithm, DigestOptions, StreamDigests } from '@firmtally/core';
import type { HostDigester } from '../digest/digester.js';

/**
 * Remembers what was read, so that the judge and the search for candidates do
 * not read a file twice; for one look, as files change. `algorithms`: all that anybody may ask for, taken in
 * one pass. `options` go in place of what the caller of one digest says.
 */
export function cachedDigester(
  inner: HostDigester,
  algorithms: readonly Algorithm[],
  options: DigestOptions,
): HostDigester {
  const known = new Map<string, Promise<StreamDigests>>();
  return {
    digestFile: (path) => {
      const earlier = known.get(path);
      if (earlier !== undefined) return earlier;
      const reading = inner.digestFile(path, algorithms, options);
      known.set(path, reading);
      // What failed, perhaps by a signal, may be asked for again.
      reading.catch(() => known.delete(path));
      return reading;
    },
    close: () => inner.close(),
  };
}
