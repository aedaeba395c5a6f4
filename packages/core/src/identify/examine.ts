import type { ArchiveReader } from '../bytes/archive.js';
import { collect } from '../bytes/collect.js';
import { entryAccess } from '../bytes/entry-content.js';
import { memoryAccess } from '../bytes/memory.js';
import type { ProgressCount } from '../bytes/progress.js';
import { ReadError, type RandomAccess } from '../bytes/source.js';
import type { Diagnosis } from '../diagnose/diagnosis.js';
import { diagnoseFile } from '../diagnose/diagnose-file.js';
import { DIAGNOSIS_LIMITS } from '../diagnose/limits.js';
import type { Platform } from '../digest/engine.js';
import { naming } from '../digest/platform-failure.js';
import { fact } from '../facts/fact.js';
import type { Fact, FactValues } from '../facts/fact-values.js';
import { isPresenceOnly, type Firmware } from '../manifest/model.js';
import { openInside } from '../recognise/containers.js';
import type { KnownDumps } from '../recognise/known-dumps.js';
import { RECOGNISE_LIMITS } from '../recognise/limits.js';
import type { Found, SourceFault } from '../recognise/found.js';
import { sentence } from '../text/sentence.js';
import { looksDoubled } from './first-look.js';
import { PILE_LIMITS } from './limits.js';
import { NearestEntry, type Probe } from './nearest-entry.js';

/** What unrecognised bytes have to do with an entry. */
export interface Examined {
  readonly found: Found;
  readonly firmware: Firmware;
  /** Null when only the name speaks for the entry, which gives no digest to tell by. */
  readonly diagnosis: Diagnosis | null;
}

/** What an examination takes. */
export interface ExamineInput {
  readonly found: readonly Found[];
  /** The entries that damaged copies are looked for. */
  readonly firmware: Iterable<Firmware>;
  /** Everything known, so that what is another entry's dump is called that. */
  readonly known: KnownDumps;
  readonly platform: Platform;
  readonly signal?: AbortSignal | undefined;
  /** Counts what is examined, in a phase of its own. */
  readonly count?: ProgressCount | undefined;
}

/** What an examination found. */
export interface Examination {
  readonly examined: ReadonlyMap<Found, Examined>;
  /** Files and members that may be damaged copies but were not examined, to keep the time bounded. */
  readonly notExamined: number;
  readonly faults: readonly SourceFault[];
}

/**
 * Looks for damaged copies among what a search did not recognise. What is named
 * as an entry comes first, then what has a dump's size, then what could come of
 * one by its size: the bounds of {@link PILE_LIMITS} leave out what is least
 * likely, wherever it lies. One after another: each may hold a whole file in
 * memory.
 */
export async function examineFound(input: ExamineInput): Promise<Examination> {
  const examiner = new Examiner(input);
  const inOrder = examiner.inOrder();
  if (inOrder.length > 0) input.count?.start('diagnose', { files: inOrder.length });
  for (const found of inOrder) {
    input.signal?.throwIfAborted();
    await naming(found.entry.path, examiner.examine(found));
  }
  return examiner;
}

/** How likely something is to be a damaged copy, by name and size; less is more. */
const RANK = { named: 0, namedLike: 1, stem: 2, size: 3, near: 4, doubled: 5 } as const;
type Rank = (typeof RANK)[keyof typeof RANK];

class Examiner implements Examination {
  readonly examined = new Map<Found, Examined>();
  readonly faults: SourceFault[] = [];
  notExamined = 0;
  /** Tries that the bounds did not allow, several for one file perhaps. */
  #skipped = 0;
  #byNameLeft: number = PILE_LIMITS.examinedByName;
  #bySizeLeft: number = PILE_LIMITS.examinedBySize;
  #bytesLeft: number = PILE_LIMITS.examinedBytes;
  readonly #input: ExamineInput;
  readonly #nearest: NearestEntry;

  constructor(input: ExamineInput) {
    this.#input = input;
    this.#nearest = new NearestEntry(input.firmware);
  }

  inOrder(): Found[] {
    const ranked: { readonly found: Found; readonly rank: Rank }[] = [];
    for (const found of this.#input.found) {
      const rank = isOpen(found) ? this.#rankOf(found) : null;
      if (rank !== null) ranked.push({ found, rank });
    }
    return ranked.sort((a, b) => a.rank - b.rank).map(({ found }) => found);
  }

  async examine(found: Found): Promise<void> {
    const { archives } = this.#input.platform;
    const before = this.#skipped;
    this.#input.count?.advance(found.size, found.entry.path);
    this.#input.count?.done(found.entry.path);
    try {
      const examined = await this.#examine(found, await contentOf(found, archives));
      if (examined !== null) this.examined.set(found, examined);
      if (this.#skipped > before && examined?.diagnosis?.proven !== true) this.notExamined++;
    } catch (error) {
      if (!(error instanceof ReadError)) throw error;
      const { entry, origin } = found;
      const message =
        origin.inside.length === 0 ? error.message : `member "${found.name}": ${error.message}`;
      const { code } = error;
      this.faults.push({
        source: origin.source,
        path: entry.path,
        code,
        message: sentence(message),
      });
    }
  }

  #rankOf({ name, size, container, origin }: Found): Rank | null {
    if (this.#nearest.named(name).length > 0) return RANK.named;
    // What is inside is examined by itself.
    if (container !== null) return null;
    if (this.#nearest.namedLike(name).length > 0) return RANK.namedLike;
    if (this.#nearest.namedButForEnding(name).length > 0) return RANK.stem;
    const isHeld = size <= RECOGNISE_LIMITS.heldBytes;
    if (!isHeld) return null;
    if (this.#nearest.hasSize(size)) return RANK.size;
    if (this.#nearest.isNearSize(size)) return RANK.near;
    const isFile = origin.inside.length === 0;
    return isFile && this.#nearest.sizeless !== null && size > 1 ? RANK.doubled : null;
  }

  async #examine(found: Found, content: RandomAccess): Promise<Examined | null> {
    const isContainer = found.container !== null;
    const named = isContainer
      ? this.#nearest.named(found.name)
      : this.#nearest.namedLike(found.name);
    const byName = await this.#byName(found, content, named);
    if (byName?.diagnosis?.proven === true || isContainer) return byName;
    return (
      (await this.#bySize(found, content)) ??
      (await this.#byStem(found, content)) ??
      (await this.#sizeless(found, content)) ??
      byName
    );
  }

  async #byName(
    found: Found,
    content: RandomAccess,
    named: readonly Firmware[],
  ): Promise<Examined | null> {
    let first: Examined | null = null;
    for (const firmware of named) {
      if (isPresenceOnly(firmware)) {
        first ??= { found, firmware, diagnosis: null };
        continue;
      }
      if (this.#byNameLeft-- <= 0) {
        this.#skipped++;
        return first;
      }
      const diagnosis = await this.#diagnose(found, content, firmware, this.#input.known);
      if (diagnosis.proven) return { found, firmware, diagnosis };
      first ??= { found, firmware, diagnosis };
    }
    return first;
  }

  async #byStem(found: Found, content: RandomAccess): Promise<Examined | null> {
    for (const firmware of this.#nearest.namedButForEnding(found.name)) {
      if (!this.#mayExamine(content.size)) return null;
      const diagnosis = await this.#diagnose(found, content, firmware, null);
      if (diagnosis.firmware !== null) return { found, firmware, diagnosis };
    }
    return null;
  }

  async #bySize(found: Found, content: RandomAccess): Promise<Examined | null> {
    if (content.size > DIAGNOSIS_LIMITS.wholeFileBytes) return null;
    const near = this.#nearest.ofSize(content.size);
    return near === null ? null : this.#byProbe(found, content, near);
  }

  async #sizeless(found: Found, content: RandomAccess): Promise<Examined | null> {
    const { sizeless } = this.#nearest;
    if (sizeless === null || content.size > DIAGNOSIS_LIMITS.wholeFileBytes) return null;
    return (await looksDoubled(content)) ? this.#byProbe(found, content, sizeless) : null;
  }

  async #byProbe(found: Found, content: RandomAccess, near: Probe): Promise<Examined | null> {
    if (!this.#mayExamine(content.size)) return null;
    const diagnosis = await this.#diagnose(found, content, near.probe, null);
    // A blank file or a web page is no entry's because its size happens to fit.
    if (diagnosis.dump === null) return null;
    const { firmware, dump } = near.behind(diagnosis.dump);
    return { found, firmware, diagnosis: renamed(diagnosis, firmware.id, dump.label) };
  }

  #mayExamine(size: number): boolean {
    if (this.#bySizeLeft <= 0 || size > this.#bytesLeft) {
      this.#skipped++;
      return false;
    }
    this.#bySizeLeft--;
    this.#bytesLeft -= size;
    return true;
  }

  #diagnose(
    { size, digests }: Found,
    content: RandomAccess,
    firmware: Firmware,
    known: KnownDumps | null,
  ): Promise<Diagnosis> {
    const { platform } = this.#input;
    const found = digests === null ? null : { size, digests };
    return diagnoseFile({ content, found, firmware, known, platform });
  }
}

/** Whether a search left it unexplained. */
function isOpen({ matches, memberOf, zipFor, unread }: Found): boolean {
  return !unread && matches.length + memberOf.length + zipFor.length === 0;
}

/** The same diagnosis, of the entry and the dump that a probe stood for. */
function renamed(diagnosis: Diagnosis, firmware: string, dump: string): Diagnosis {
  if (diagnosis.kind === 'list-slip') {
    const facts = diagnosis.facts.map((each) =>
      each.code === 'list-slip' ? fact('list-slip', { ...valuesOf(each), dump }) : each,
    );
    return { ...diagnosis, firmware, dump, facts };
  }
  return diagnosis.firmware === null ? diagnosis : { ...diagnosis, firmware, dump };
}

function valuesOf({
  agrees,
  differs,
  location,
}: Fact<'list-slip'>): Omit<FactValues['list-slip'], 'dump'> {
  return { agrees, differs, location };
}

/** The bytes of something found. What is inside a container is held in memory. Throws ReadError. */
export async function contentOf(
  { origin, source, entry }: Pick<Found, 'origin' | 'source' | 'entry'>,
  archives: ArchiveReader | null,
): Promise<RandomAccess> {
  const content = entryAccess(source.content, entry);
  if (origin.inside.length === 0) return content;
  const limit = RECOGNISE_LIMITS.heldBytes;
  const bytes = await collect(openInside(content, origin.inside, archives, limit), limit);
  if (bytes === null) throw new ReadError('limit-exceeded', 'it is too large to be examined');
  return memoryAccess(bytes);
}
