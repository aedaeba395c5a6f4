import { addTo } from '../collections.js';
import type { Dump, Firmware, Manifest } from '../manifest/model.js';
import { foldCase } from '../text/fold.js';
import { baseName } from '../text/path.js';
import { PILE_LIMITS } from './limits.js';

interface OwnedDump {
  readonly firmware: Firmware;
  readonly dump: Dump;
}

/** An entry made of dumps of several, so that one examination tests them all. */
export interface Probe {
  readonly probe: Firmware;
  /** What was really met, by the label of the dump an examination finds. */
  behind(label: string): OwnedDump;
}

/** Finds the entries that an unrecognised file may be a damaged copy of. */
export class NearestEntry {
  private readonly byFoldedName = new Map<string, Firmware[]>();
  private readonly byStem = new Map<string, Firmware[]>();
  private readonly bySize = new Map<number, OwnedDump[]>();
  private readonly sizes: readonly number[];
  /** For the dumps without a size; null when every dump has one. */
  readonly sizeless: Probe | null;

  constructor(manifest: Manifest) {
    const sizeless: OwnedDump[] = [];
    for (const firmware of manifest.firmware.values()) {
      const name = foldCase(baseName(firmware.path));
      addTo(this.byFoldedName, name, firmware);
      addTo(this.byStem, stemOf(name), firmware);
      for (const dump of firmware.dumps) {
        if (dump.size !== null) addTo(this.bySize, dump.size, { firmware, dump });
        else sizeless.push({ firmware, dump });
      }
    }
    this.sizes = [...this.bySize.keys()].sort((a, b) => a - b);
    this.sizeless = probeFor(sizeless);
  }

  /** Entries of exactly this name but for letter case, in id order. */
  named(path: string): readonly Firmware[] {
    return this.byFoldedName.get(foldCase(baseName(path))) ?? [];
  }

  /** The same, or of the name without what copying and downloading add to one. */
  namedLike(path: string): readonly Firmware[] {
    for (const name of plainNames(baseName(path))) {
      const found = this.named(name);
      if (found.length > 0) return found;
    }
    return [];
  }

  /** Entries whose name differs in the ending only: too little to call a file theirs unless it is proven. */
  namedButForEnding(path: string): readonly Firmware[] {
    for (const name of plainNames(baseName(path))) {
      const found = this.byStem.get(stemOf(foldCase(name)));
      if (found !== undefined) return found;
    }
    return [];
  }

  /** For the dumps whose sizes a damaged copy of this many bytes may come from; null when there are none. */
  ofSize(size: number): Probe | null {
    return probeFor(this.sizesNear(size).flatMap((each) => this.bySize.get(each) ?? []));
  }

  /** The nearest sizes first: equal, a header or line endings apart, one of which it is a multiple, padded to a power of two. */
  private sizesNear(size: number): number[] {
    const stretch = size / LINE_ENDINGS_IN;
    const least = size - Math.max(LARGEST_HEADER, stretch);
    const isPowerOfTwo = size > 0 && Number.isInteger(Math.log2(size));
    return this.sizes
      .slice(this.firstAtLeast(size / MOST_COPIES), this.firstAtLeast(size + stretch + 1))
      .filter(
        (each) =>
          each >= least ||
          (each > 0 && size % each === 0) ||
          (isPowerOfTwo && each < size && each * 4 >= size),
      )
      .sort((a, b) => Math.abs(size - a) - Math.abs(size - b))
      .slice(0, PILE_LIMITS.sizesCompared);
  }

  private firstAtLeast(size: number): number {
    let low = 0;
    let high = this.sizes.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((this.sizes[middle] ?? 0) < size) low = middle + 1;
      else high = middle;
    }
    return low;
  }
}

/** Bytes a header or a trailer may have for its file to be looked at on account of its size. */
const LARGEST_HEADER = 4096;

/** How often a file may hold a dump to be looked at on account of its size. Own choice. */
const MOST_COPIES = 16;

/** Every 256th random byte is an LF, so converted line endings change a size by about a 256th; allow for ten times as many. */
const LINE_ENDINGS_IN = 25;

/** `name (1).bin`, `name - Copy.bin`, `name.bin.gz`, `name.zip`: as browsers and file managers make them (common practice, no source). */
function plainNames(name: string): string[] {
  const names = [name, withoutCopyMarks(name)];
  const shorter = names.map(stemOf);
  return [...new Set([...names, ...shorter])].filter((each) => each !== '');
}

/** From the end towards the start, a mark at a time: a name may be nothing but marks. */
function withoutCopyMarks(name: string): string {
  const dot = name.lastIndexOf('.');
  const ending = dot < 0 ? '' : name.slice(dot);
  let end = name.length - ending.length;
  for (;;) {
    const mark = COPY_MARK.exec(name.slice(Math.max(0, end - LONGEST_MARK), end))?.[0];
    if (mark === undefined) return name.slice(0, end) + ending;
    end -= mark.length;
  }
}

/** As long as ` (1234567890)`. */
const LONGEST_MARK = 13;
const COPY_MARK = /(?: ?\(\d{1,10}\)| - Copy)$/iu;

function stemOf(name: string): string {
  return name.replace(/\.[^.]+$/u, '');
}

function probeFor(found: readonly OwnedDump[]): Probe | null {
  const first = found[0];
  if (first === undefined) return null;
  const dumps = found.map(({ dump }, index) => ({ ...dump, label: String(index) }));
  return {
    probe: { ...first.firmware, id: '', dumps, members: null },
    behind: (label) => found[Number(label)] ?? first,
  };
}
