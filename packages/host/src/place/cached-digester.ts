import { ALGORITHMS, type FileDigester, type StreamDigests } from '@firmtally/core';

/**
 * Remembers what was read, so that the judge and the search for candidates do
 * not read a file twice. For one look only: files change.
 */
export function cachedDigester(
  inner: FileDigester & { close(): Promise<void> },
): FileDigester & { close(): Promise<void> } {
  const known = new Map<string, Promise<StreamDigests>>();
  return {
    digestFile: (path, _algorithms, options) => {
      const earlier = known.get(path);
      if (earlier !== undefined) return earlier;
      // Whoever asks next may want another algorithm: all are taken in the one pass.
      const reading = inner.digestFile(path, ALGORITHMS, options);
      known.set(path, reading);
      return reading;
    },
    close: () => inner.close(),
  };
}
