import type { Dump, Firmware, Manifest } from '../manifest/model.js';
import { foldCase } from '../text/fold.js';
import { baseName } from '../text/path.js';
import { PILE_LIMITS } from './limits.js';

/** Finds the entries that an unrecognised file may be a damaged copy of. */
export class NearestEntry {
  private readonly byFoldedName = new Map<string, Firmware[]>();
  private readonly byStem = new Map<string, Firmware[]>();
  private readonly bySize = new Map<number, { firmware: Firmware; dump: Dump }[]>();
  private readonly sizes: readonly number[];

  constructor(manifest: Manifest) {
    for (const firmware of manifest.firmware.values()) {
      const name = foldCase(baseName(firmware.path));
      append(this.byFoldedName, name, firmware);
      append(this.byStem, stemOf(name), firmware);
      for (const dump of firmware.dumps) {
        if (dump.size !== null) append(this.bySize, dump.size, { firmware, dump });
      }
    }
    this.sizes = [...this.bySize.keys()].sort((a, b) => a - b);
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

  /**
   * An entry made of the dumps whose sizes a damaged copy of this many bytes may
   * come from, so that one examination tests them all; `behind` tells from the
   * label it finds what was really met. Null when there is no such size.
   */
  ofSize(size: number): {
    readonly probe: Firmware;
    behind(label: string): { readonly firmware: Firmware; readonly dump: Dump };
  } | null {
    const found = this.sizesNear(size).flatMap((each) => this.bySize.get(each) ?? []);
    const first = found[0];
    if (first === undefined) return null;
    const dumps = found.map(({ dump }, index) => ({ ...dump, label: String(index) }));
    return {
      probe: { ...first.firmware, id: '', dumps, members: null },
      behind: (label) => found[Number(label)] ?? first,
    };
  }

  /** The nearest sizes first: equal, a header or line endings apart, a half, a quarter, padded to a power of two. */
  private sizesNear(size: number): number[] {
    const stretch = size / LINE_ENDINGS_IN;
    const least = size - Math.max(LARGEST_HEADER, stretch);
    const isPowerOfTwo = size > 0 && Number.isInteger(Math.log2(size));
    return this.sizes
      .slice(this.firstAtLeast(size / 4), this.firstAtLeast(size + stretch + 1))
      .filter(
        (each) =>
          each >= least || each * 2 === size || each * 4 === size || (isPowerOfTwo && each < size),
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

/** Every 256th random byte is an LF, so converted line endings change a size by about a 256th; allow for ten times as many. */
const LINE_ENDINGS_IN = 25;

/** `name (1).bin`, `name - Copy.bin`, `name.bin.gz`, `name.zip`: as browsers and file managers make them (common practice, no source). */
function plainNames(name: string): string[] {
  const names = [name, name.replace(/(?: ?\(\d+\)| - Copy)+(?=\.[^.]*$|$)/iu, '')];
  const shorter = names.map(stemOf);
  return [...new Set([...names, ...shorter])].filter((each) => each !== '');
}

function stemOf(name: string): string {
  return name.replace(/\.[^.]+$/u, '');
}

function append<Key, Value>(map: Map<Key, Value[]>, key: Key, value: Value): void {
  const values = map.get(key);
  if (values === undefined) map.set(key, [value]);
  else values.push(value);
}
