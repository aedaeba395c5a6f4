import { readRange } from '../bytes/collect.js';
import { memoryAccess } from '../bytes/memory.js';
import type { ProgressCount } from '../bytes/progress.js';
import { ReadError } from '../bytes/source.js';
import { addTo } from '../collections.js';
import { applyRemedy } from '../diagnose/apply-remedy.js';
import { ALGORITHMS } from '../bytes/digests.js';
import type { Platform } from '../digest/engine.js';
import { naming } from '../digest/platform-failure.js';
import { digestBytes } from '../digest/stream.js';
import { fact } from '../facts/fact.js';
import type { Fact } from '../facts/fact-values.js';
import { contentOf, examineFound, type Examined } from '../identify/examine.js';
import type { ExpectedFirmware } from '../manifest/selection.js';
import type { KnownDumps } from '../recognise/known-dumps.js';
import { readZip } from '../recognise/members.js';
import type { Found, SourceFault } from '../recognise/found.js';
import { provesNothing, type Candidate } from './candidate.js';

/** What the search for candidates takes. */
export interface FindCandidatesInput {
  /** What a search of the pile and the card found. */
  readonly found: readonly Found[];
  /** Firmware that something may have to be placed for. */
  readonly wanted: readonly ExpectedFirmware[];
  readonly known: KnownDumps;
  /** Paths on the card that were judged: damage is looked for in no other files of it. */
  readonly judged: ReadonlySet<string>;
  readonly platform: Platform;
  readonly signal?: AbortSignal | undefined;
  /** Counts what is examined, in a phase of its own. */
  readonly count?: ProgressCount | undefined;
}

/** Candidates, and what was met instead of them. */
export interface FoundCandidates {
  /** The pile's first, in the order of the sources. */
  readonly candidates: readonly Candidate[];
  /** What was met of firmware that nothing right was found for, by its id. */
  readonly met: ReadonlyMap<string, readonly Fact[]>;
  readonly faults: readonly SourceFault[];
}

/**
 * Bytes that can be placed: what the search recognised, and corrected copies of
 * damaged files for firmware that it did not find.
 */
export async function findCandidates(input: FindCandidatesInput): Promise<FoundCandidates> {
  const whole = input.found.flatMap(candidateOf);
  const have = new Set(whole.flatMap(({ uses }) => uses.map((use) => use.firmware)));
  const lacking = input.wanted
    .map(({ firmware }) => firmware)
    .filter((firmware) => !have.has(firmware.id) && !provesNothing(firmware));
  if (lacking.length === 0) return { candidates: whole, met: new Map(), faults: [] };
  const { examined, faults } = await examineFound({
    ...input,
    found: input.found.filter(
      ({ source, entry }) => source.name !== null || input.judged.has(entry.path),
    ),
    firmware: lacking,
  });
  const repairs: Candidate[] = [];
  const met = new Map<string, Fact[]>();
  for (const each of examined.values()) {
    const candidate = await naming(each.found.entry.path, repairOf(each, input));
    if (candidate !== null) repairs.push(candidate);
    else note(each, met);
  }
  return { candidates: [...whole, ...repairs], met, faults };
}

function candidateOf({ origin, size, digests, matches, memberOf, zipFor }: Found): Candidate[] {
  if (digests === null || matches.length + memberOf.length + zipFor.length === 0) return [];
  return [
    {
      origin,
      remedy: null,
      size,
      digests,
      uses: [
        ...matches.map(({ firmware, dump }) => ({ firmware: firmware.id, dump: dump.label })),
        ...zipFor.map(({ id }) => ({ firmware: id, dump: null })),
      ],
      memberUses: memberOf.map(({ firmware, member, dump }) => ({
        firmware: firmware.id,
        member: member.path,
        dump: dump.label,
      })),
    },
  ];
}

/** What a proven remedy makes of damaged bytes, for every entry that wants it. The diagnosis has proven it; what goes onto a card is recognised once more all the same. */
async function repairOf(
  { found, diagnosis }: Examined,
  { known, platform }: FindCandidatesInput,
): Promise<Candidate | null> {
  if (diagnosis === null || diagnosis.remedy === null) return null;
  try {
    const { archives, engine } = platform;
    const content = await contentOf(found, archives);
    const damaged = await readRange(content, { start: 0, end: content.size });
    const bytes = await applyRemedy(damaged, diagnosis.remedy, archives);
    const size = bytes.length;
    const digests = await digestBytes(bytes, ALGORITHMS, engine);
    const matches = known.filesOf({ size, digests });
    const isZip = archives !== null && known.zips.some(({ id }) => id === diagnosis.firmware);
    const zips = isZip
      ? known.zipsOf(
          await readZip(memoryAccess(bytes), { archives, engine }, (member) =>
            known.wantedMembers.algorithmsFor(member),
          ),
        )
      : [];
    const uses = [
      ...matches.map(({ firmware, dump }) => ({ firmware: firmware.id, dump: dump.label })),
      ...zips.map(({ id }) => ({ firmware: id, dump: null })),
    ];
    if (uses.length === 0) return null;
    const { origin } = found;
    return { origin, remedy: diagnosis.remedy, size, digests, uses, memberUses: [] };
  } catch (error) {
    // It was read a moment ago; what cannot be read any more cannot be repaired.
    if (error instanceof ReadError) return null;
    throw error;
  }
}

/** Says of a lacking firmware what was met that is not it. */
function note({ found, firmware, diagnosis }: Examined, met: Map<string, Fact[]>): void {
  const [first] = diagnosis?.facts ?? [];
  if (first === undefined) return;
  const { source, path, inside } = found.origin;
  // What is inside a file is not the file.
  const ofFile = inside.reduceRight<Fact>(
    (inner, step) =>
      step.kind === 'gunzip'
        ? fact('content', { fact: inner })
        : fact('of-member', { member: step.member, fact: inner }),
    first,
  );
  addTo(
    met,
    firmware.id,
    fact('met-instead', { firmware: firmware.id, source, path, fact: ofFile }),
  );
}
