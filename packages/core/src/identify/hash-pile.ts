import { ReadError } from '../bytes/source.js';
import type { StreamDigests } from '../digest/engine.js';
import { eachLimited } from '../each-limited.js';
import type { KnownDumps } from '../recognise/known-dumps.js';
import { PILE_LIMITS } from './limits.js';
import type { PileFile } from './list-pile.js';

/** How far the hashing of a pile is. */
export interface PileProgress {
  /** Files done and to be done, of those that are read at all. */
  readonly files: number;
  readonly totalFiles: number;
  /** Bytes hashed and to be hashed. */
  readonly bytes: number;
  readonly totalBytes: number;
}

/** Digests the files that may be known, several at a time; of one that cannot be read, why. */
export async function hashPile(
  files: readonly PileFile[],
  known: KnownDumps,
  onProgress?: (progress: PileProgress) => void,
): Promise<ReadonlyMap<PileFile, StreamDigests | ReadError>> {
  const found = new Map<PileFile, StreamDigests | ReadError>();
  const wanted = files.filter(({ entry }) => known.isWorthHashing(entry.path, entry.size));
  const totalBytes = wanted.reduce((sum, { entry }) => sum + entry.size, 0);
  let bytes = 0;
  const tell = (): void =>
    onProgress?.({ files: found.size, totalFiles: wanted.length, bytes, totalBytes });
  await eachLimited(wanted, PILE_LIMITS.parallel, async (file) => {
    const { digester } = file.source;
    try {
      const count = (more: number): void => {
        bytes += more;
        tell();
      };
      found.set(
        file,
        await digester.digestFile(file.entry.path, known.algorithms, { onBytes: count }),
      );
    } catch (error) {
      if (!(error instanceof ReadError)) throw error;
      found.set(file, error);
    }
    tell();
  });
  return found;
}
