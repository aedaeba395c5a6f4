import { addTo } from '../collections.js';
import type { Algorithm, StreamDigests } from '../digest/engine.js';
import { algorithmsOf } from '../judge/algorithms.js';
import { isDump } from '../judge/match-dump.js';
import type { Dump, Firmware } from '../manifest/model.js';

/** A dump and whose it is. */
export interface IndexedDump<Owner> {
  readonly owner: Owner;
  readonly dump: Dump;
}

/** Dumps looked up by size and digests, so that a large pile meets only those that can be right. */
export class DumpLookup<Owner> {
  /** Every algorithm needed to compare with any of the dumps. */
  readonly algorithms: readonly Algorithm[];
  private readonly bySize = new Map<number, IndexedDump<Owner>[]>();
  private readonly sizeless: IndexedDump<Owner>[] = [];

  constructor(dumps: Iterable<IndexedDump<Owner>>) {
    const all = [...dumps];
    this.algorithms = algorithmsOf(all.map(({ dump }) => dump));
    for (const each of all) {
      if (each.dump.size === null) {
        this.sizeless.push(each);
        continue;
      }
      addTo(this.bySize, each.dump.size, each);
    }
  }

  /** Sizes in bytes that some dump gives. */
  get sizes(): Iterable<number> {
    return this.bySize.keys();
  }

  /** Whether some dump gives no size, so that a file of any size can match. */
  get anySize(): boolean {
    return this.sizeless.length > 0;
  }

  /** Whether some dump gives exactly this size. */
  hasSize(size: number): boolean {
    return this.bySize.has(size);
  }

  /** Whether a file of this many bytes, and of this CRC-32 where it is known without reading, can be one of the dumps. */
  couldMatch(size: number, crc32?: string): boolean {
    return this.candidates(size).some(
      ({ dump }) =>
        crc32 === undefined || dump.digests.crc32 === undefined || dump.digests.crc32 === crc32,
    );
  }

  /** The dumps whose size and every digest given are these, in the order they were put in. */
  find(found: StreamDigests): IndexedDump<Owner>[] {
    return this.candidates(found.size).filter(({ dump }) => isDump(found, dump));
  }

  private candidates(size: number): IndexedDump<Owner>[] {
    return [...(this.bySize.get(size) ?? []), ...this.sizeless];
  }
}

/** A firmware entry and which of its dumps a file is. */
export interface DumpMatch {
  readonly firmware: Firmware;
  readonly dump: Dump;
}

/** The dumps of firmware entries that are plain files (entries judged by their members are not in it). */
export class DumpIndex extends DumpLookup<Firmware> {
  constructor(firmware: Iterable<Firmware>) {
    super([...firmware].flatMap((owner) => owner.dumps.map((dump) => ({ owner, dump }))));
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
