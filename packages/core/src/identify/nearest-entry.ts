import { addTo } from '../collections.js';
import { isSizeOnly, type Dump, type Firmware } from '../manifest/model.js';
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

  constructor(entries: Iterable<Firmware>) {
    const sizeless: OwnedDump[] = [];
    for (const firmware of entries) {
      const name = foldCase(baseName(firmware.path));
      addTo(this.byFoldedName, name, firmware);
      addTo(this.byStem, stemOf(name), firmware);
      for (const dump of firmware.dumps) {
        if (isSizeOnly(dump)) continue;
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

  /** Whether some dump gives exactly this size. */
  hasSize(size: number): boolean {
    return this.bySize.has(size);
  }

  /** Whether {@link ofSize} finds any. */
  isNearSize(size: number): boolean {
    return this.sizesNear(size).length > 0;
  }

  /** For the dumps whose sizes a damaged copy of this many bytes may come from; null when there are none. */
  ofSize(size: number): Probe | null {
    return probeFor(this.sizesNear(size).flatMap((each) => this.bySize.get(each) ?? []));
  }

  /**
   * The nearest sizes first: equal, a header or line endings apart, one of
   * which it is a multiple, padded to a power of two. Looks at a bounded number
   * of sizes, however many there are.
   */
  private sizesNear(size: number): number[] {
    const found = new Set<number>();
    const stretch = size / LINE_ENDINGS_IN;
    const least = size - Math.max(LARGEST_HEADER, stretch);
    this.collect(found, size, -1, (each) => each >= least);
    this.collect(found, size + 1, 1, (each) => each < size + stretch + 1);
    for (let copies = 2; copies <= MOST_COPIES; copies++) {
      if (this.bySize.has(size / copies)) found.add(size / copies);
    }
    if (size > 0 && Number.isInteger(Math.log2(size))) {
      this.collect(found, size, -1, (each) => each * 4 >= size);
    }
    return [...found]
      .sort((a, b) => Math.abs(size - a) - Math.abs(size - b))
      .slice(0, PILE_LIMITS.sizesCompared);
  }

  /** Adds known sizes from `start` on, up or down, while they are wanted and not too many. */
  private collect(
    found: Set<number>,
    start: number,
    direction: 1 | -1,
    isWanted: (size: number) => boolean,
  ): void {
    let at = this.firstAtLeast(start);
    if (direction < 0 && this.sizes[at] !== start) at--;
    for (let taken = 0; taken < PILE_LIMITS.sizesCompared; taken++, at += direction) {
      const each = this.sizes[at];
      if (each === undefined || !isWanted(each)) return;
      found.add(each);
    }
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

/** Takes ` (1)` and ` - Copy` off the end of the stem, as often as they stand there. Reads a name once, however long. */
function withoutCopyMarks(name: string): string {
  const stem = stemOf(name);
  let end = stem.length;
  for (let start = markBefore(stem, end); start < end; start = markBefore(stem, end)) end = start;
  return stem.slice(0, end) + name.slice(stem.length);
}

/** Where a mark that ends at `end` begins; `end` when none does. */
function markBefore(stem: string, end: number): number {
  const copy = end - COPY.length;
  if (copy >= 0 && stem.slice(copy, end).toLowerCase() === COPY) return copy;
  if (stem[end - 1] !== ')') return end;
  let at = end - 1;
  while (isDigit(stem[at - 1])) at--;
  if (at === end - 1 || stem[at - 1] !== '(') return end;
  return stem[at - 2] === ' ' ? at - 2 : at - 1;
}

const COPY = ' - copy';

function isDigit(character: string | undefined): boolean {
  return character !== undefined && character >= '0' && character <= '9';
}

function stemOf(name: string): string {
  const dot = name.lastIndexOf('.');
  return dot < 0 || dot === name.length - 1 ? name : name.slice(0, dot);
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
