import { ALGORITHMS, type Algorithm } from '../digest/engine.js';
import type { Dump, Firmware } from '../manifest/model.js';

/** Always taken of a file at its expected path, so that a later run can tell whether its bytes changed. */
const OF_EXPECTED: readonly Algorithm[] = ['crc32', 'md5', 'sha1'];

/**
 * Which digests to take of a file. The answer depends on the file's size only,
 * not on the entry that asks, so that one reading serves every entry.
 */
export class AlgorithmPlan {
  readonly #bySize = new Map<number | null, Set<Algorithm>>();

  constructor(firmware: Iterable<Firmware>) {
    for (const { dumps } of firmware) for (const dump of dumps) this.#note(dump);
  }

  /** What some dump of this size, or of no stated size, gives. */
  forCandidate(size: number): readonly Algorithm[] {
    return this.#union(size, []);
  }

  /** The same, and CRC-32, MD5 and SHA-1 in any case. */
  forExpected(size: number): readonly Algorithm[] {
    return this.#union(size, OF_EXPECTED);
  }

  #note(dump: Dump): void {
    const known = this.#bySize.get(dump.size) ?? new Set();
    for (const algorithm of algorithmsOf([dump])) known.add(algorithm);
    this.#bySize.set(dump.size, known);
  }

  #union(size: number, more: readonly Algorithm[]): readonly Algorithm[] {
    const sized = this.#bySize.get(size);
    const unsized = this.#bySize.get(null);
    return ALGORITHMS.filter(
      (algorithm) => more.includes(algorithm) || sized?.has(algorithm) || unsized?.has(algorithm),
    );
  }
}

/** The algorithms that these dumps give digests of. */
export function algorithmsOf(dumps: readonly Dump[]): readonly Algorithm[] {
  return ALGORITHMS.filter((algorithm) =>
    dumps.some((dump) => dump.digests[algorithm] !== undefined),
  );
}

/** Whether content of this many bytes can be one of the dumps at all. */
export function sizeCanMatch(size: number, dumps: readonly Dump[]): boolean {
  return dumps.some((dump) => dump.size === null || dump.size === size);
}
