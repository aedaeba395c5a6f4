import { sortAlgorithms, type Algorithm, type Digests } from '../bytes/digests.js';
import type { DigestEngine } from '../digest/engine.js';
import { digestBytes } from '../digest/stream.js';
import type { Dump } from '../manifest/model.js';
import { algorithmsOf, matchDump, sizeCanMatch, sizesOf } from '../recognise/dumps.js';
import type { DiagnosisLimits } from './limits.js';

/** What is left of the bounds on hashing and inflating; shared by everything tried on one file. */
export class Budget {
  #passes: number;
  #bytes: number;
  #inflated: number;
  /** Whether something went untried because the bounds were reached. */
  exhausted = false;

  constructor(limits: Pick<DiagnosisLimits, 'hashPasses' | 'hashedBytes' | 'inflatedInAll'>) {
    this.#passes = limits.hashPasses;
    this.#bytes = limits.hashedBytes;
    this.#inflated = limits.inflatedInAll;
  }

  /** Takes one pass over `size` bytes, or says no. */
  take(size: number): boolean {
    if (this.#passes < 1 || this.#bytes < size) {
      this.exhausted = true;
      return false;
    }
    this.#passes--;
    this.#bytes -= size;
    return true;
  }

  /** Takes so many bytes out of a container, or says no. */
  takeInflated(size: number): boolean {
    if (this.#inflated < size) {
      this.exhausted = true;
      return false;
    }
    this.#inflated -= size;
    return true;
  }
}

/**
 * Tests guesses against the dumps of one entry. Only digests the manifest gives
 * count: a dump with nothing but a CRC-32 is met by wrong bytes with a
 * probability of 2^-32 for each guess, so the number of guesses is bounded.
 */
export class Prover {
  readonly dumps: readonly Dump[];
  readonly budget: Budget;
  readonly #engine: DigestEngine;

  constructor(dumps: readonly Dump[], budget: Budget, engine: DigestEngine) {
    this.dumps = dumps;
    this.budget = budget;
    this.#engine = engine;
  }

  /** Sizes in bytes the dumps give, ascending, each once. */
  get sizes(): number[] {
    return sizesOf(this.dumps);
  }

  /** Whether some dump gives no size, so that any length may be right. */
  get anySize(): boolean {
    return this.dumps.some((dump) => dump.size === null);
  }

  /** Whether bytes of this length can be one of the dumps at all. */
  fits(size: number): boolean {
    return sizeCanMatch(size, this.dumps);
  }

  /**
   * The first dump these bytes are, or null. Hashes only when the length fits,
   * and with the quickest digest first: nearly every guess fails on that one.
   */
  async prove(bytes: Uint8Array): Promise<Dump | null> {
    const size = bytes.length;
    const candidates = this.dumps.filter((dump) => sizeCanMatch(size, [dump]));
    if (candidates.length === 0 || !this.budget.take(size)) return null;
    const quickest = candidates.map(quickestOf);
    const first = await digestBytes(bytes, sortAlgorithms(quickest), this.#engine);
    const left = candidates.filter((dump) => !isRuledOut(dump, first));
    if (left.length === 0) return null;
    const rest = algorithmsOf(left).filter((algorithm) => first[algorithm] === undefined);
    const more = rest.length === 0 ? {} : await digestBytes(bytes, rest, this.#engine);
    return matchDump({ size, digests: { ...first, ...more } }, left);
  }
}

/** By speed, native and WebAssembly alike (measured). */
const QUICKEST_FIRST: readonly Algorithm[] = ['crc32', 'sha1', 'sha256', 'md5'];

function quickestOf({ digests }: Dump): Algorithm {
  return QUICKEST_FIRST.find((algorithm) => digests[algorithm] !== undefined) ?? 'crc32';
}

function isRuledOut(dump: Dump, found: Digests): boolean {
  const algorithm = quickestOf(dump);
  return dump.digests[algorithm] !== found[algorithm];
}
