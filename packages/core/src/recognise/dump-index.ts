import { addTo } from '../collections.js';
import { ALGORITHMS, type Algorithm, type StreamDigests } from '../bytes/digests.js';
import { isSizeOnly, type Dump, type Firmware } from '../manifest/model.js';
import { algorithmsOf, isDump } from './dumps.js';

/** A dump and whose it is. */
export interface IndexedDump<Owner> {
  readonly owner: Owner;
  readonly dump: Dump;
}

interface Placed<Owner> extends IndexedDump<Owner> {
  readonly order: number;
}

/** What the dumps of one size give of their CRC-32. */
interface Checksums {
  readonly crc32s: Set<string>;
  /** Whether one of them gives none. */
  open: boolean;
}

/**
 * Dumps looked up by size and digests. A look-up takes as long as its answer,
 * however many dumps there are. Dumps without a digest are left out: nothing
 * can be shown to be one of them.
 */
export class DumpLookup<Owner> {
  /** Every algorithm needed to compare with any of the dumps. */
  readonly algorithms: readonly Algorithm[];
  readonly #byDigest = new Map<string, Placed<Owner>[]>();
  readonly #bySize = new Map<number | null, Checksums>();

  constructor(dumps: Iterable<IndexedDump<Owner>>) {
    const all: Dump[] = [];
    for (const { owner, dump } of dumps) {
      if (isSizeOnly(dump)) continue;
      addTo(this.#byDigest, keyOf(dump), { owner, dump, order: all.length });
      all.push(dump);
      this.#noteSize(dump);
    }
    this.algorithms = algorithmsOf(all);
  }

  /** Sizes in bytes that some dump gives. */
  get sizes(): number[] {
    return [...this.#bySize.keys()].filter((size) => size !== null);
  }

  /** Whether some dump gives no size, so that a file of any size can match. */
  get anySize(): boolean {
    return this.#bySize.has(null);
  }

  /** Whether some dump gives exactly this size. */
  hasSize(size: number): boolean {
    return this.#bySize.has(size);
  }

  /** Whether a file of this many bytes, and of this CRC-32 where it is known without reading, can be one of the dumps. */
  couldMatch(size: number, crc32?: string): boolean {
    return [size, null].some((key) => {
      const there = this.#bySize.get(key);
      if (there === undefined) return false;
      return crc32 === undefined || there.open || there.crc32s.has(crc32);
    });
  }

  /** The dumps whose size and every digest given are these, in the order they were put in. */
  find(found: StreamDigests): IndexedDump<Owner>[] {
    const met: Placed<Owner>[] = [];
    for (const algorithm of ALGORITHMS) {
      const digest = found.digests[algorithm];
      if (digest === undefined) continue;
      for (const each of this.#byDigest.get(`${algorithm}:${digest}`) ?? []) {
        if (isDump(found, each.dump)) met.push(each);
      }
    }
    return met.sort((a, b) => a.order - b.order);
  }

  #noteSize({ size, digests }: Dump): void {
    const there = this.#bySize.get(size) ?? { crc32s: new Set(), open: false };
    if (digests.crc32 === undefined) there.open = true;
    else there.crc32s.add(digests.crc32);
    this.#bySize.set(size, there);
  }
}

/** A dump is kept under its longest digest, which hardly any other shares. */
function keyOf({ digests }: Dump): string {
  const algorithm = ALGORITHMS.findLast((each) => digests[each] !== undefined) ?? 'crc32';
  return `${algorithm}:${digests[algorithm] ?? ''}`;
}

/** A firmware entry and which of its dumps a file is. */
export interface DumpMatch {
  readonly firmware: Firmware;
  readonly dump: Dump;
}

/** The dumps of firmware entries that are plain files (entries judged by their members are not in it). */
export class DumpIndex extends DumpLookup<Firmware> {
  constructor(firmware: Iterable<Firmware>) {
    super(dumpsOf(firmware));
  }

  /** Every entry and dump whose size and digests these are: at most one dump an entry, in the entries' order. */
  match(found: StreamDigests): DumpMatch[] {
    const matches = new Map<Firmware, Dump>();
    for (const { owner, dump } of this.find(found)) {
      if (!matches.has(owner)) matches.set(owner, dump);
    }
    return [...matches].map(([firmware, dump]) => ({ firmware, dump }));
  }
}

function* dumpsOf(firmware: Iterable<Firmware>): Generator<IndexedDump<Firmware>> {
  for (const owner of firmware) for (const dump of owner.dumps) yield { owner, dump };
}
