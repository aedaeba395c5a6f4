import { ALGORITHMS, sortAlgorithms, type Algorithm } from '../bytes/digests.js';
import type { Dump, Firmware } from '../manifest/model.js';
import { algorithmsOf } from '../recognise/dumps.js';

/** Always taken of a file at its expected path, so that a later run can tell whether its bytes changed. */
export const OF_EXPECTED: readonly Algorithm[] = ['crc32', 'md5', 'sha1'];

/**
 * Which digests to take of a file. For a candidate the answer depends on its
 * size only, not on the entry that asks, so that one reading serves every entry.
 */
export class AlgorithmPlan {
  readonly #bySize = new Map<number | null, Set<Algorithm>>();
  readonly #byPath = new Map<string, Set<Algorithm>>();

  constructor(firmware: Iterable<Firmware>) {
    for (const { dumps } of firmware) for (const dump of dumps) this.#note(dump);
  }

  /** What some dump of this size, or of no stated size, gives. */
  forCandidate(size: number): readonly Algorithm[] {
    const sized = this.#bySize.get(size);
    const unsized = this.#bySize.get(null);
    return ALGORITHMS.filter((algorithm) => sized?.has(algorithm) || unsized?.has(algorithm));
  }

  /** Notes that an entry will be judged by the file whose bytes are at this path. */
  expectAt(path: string, { dumps }: Firmware): void {
    const known = this.#byPath.get(path) ?? new Set();
    for (const algorithm of algorithmsOf(dumps)) known.add(algorithm);
    this.#byPath.set(path, known);
  }

  /** The same, CRC-32, MD5 and SHA-1, and what dumps of other sizes give of what is expected here: the size may be the manifest's slip. */
  forExpected(path: string, size: number): readonly Algorithm[] {
    const expected = this.#byPath.get(path) ?? [];
    return sortAlgorithms([...OF_EXPECTED, ...this.forCandidate(size), ...expected]);
  }

  #note(dump: Dump): void {
    const known = this.#bySize.get(dump.size) ?? new Set();
    for (const algorithm of algorithmsOf([dump])) known.add(algorithm);
    this.#bySize.set(dump.size, known);
  }
}
