import { ALGORITHMS, sortAlgorithms, type Algorithm } from '../digest/engine.js';
import type { Dump, Firmware } from '../manifest/model.js';
import { algorithmsOf } from '../recognise/dumps.js';

/** Always taken of a file at its expected path, so that a later run can tell whether its bytes changed. */
const OF_EXPECTED: readonly Algorithm[] = ['crc32', 'md5', 'sha1'];

/**
 * Which digests to take of a file. For a candidate the answer depends on its
 * size only, not on the entry that asks, so that one reading serves every entry.
 */
export class AlgorithmPlan {
  readonly #bySize = new Map<number | null, Set<Algorithm>>();

  constructor(firmware: Iterable<Firmware>) {
    for (const { dumps } of firmware) for (const dump of dumps) this.#note(dump);
  }

  /** What some dump of this size, or of no stated size, gives. */
  forCandidate(size: number): readonly Algorithm[] {
    const sized = this.#bySize.get(size);
    const unsized = this.#bySize.get(null);
    return ALGORITHMS.filter((algorithm) => sized?.has(algorithm) || unsized?.has(algorithm));
  }

  /** The same, CRC-32, MD5 and SHA-1, and what the entry's dumps of other sizes give: the size may be the manifest's slip. */
  forExpected({ dumps }: Firmware, size: number): readonly Algorithm[] {
    return sortAlgorithms([...OF_EXPECTED, ...this.forCandidate(size), ...algorithmsOf(dumps)]);
  }

  #note(dump: Dump): void {
    const known = this.#bySize.get(dump.size) ?? new Set();
    for (const algorithm of algorithmsOf([dump])) known.add(algorithm);
    this.#bySize.set(dump.size, known);
  }
}
