import type { Remedy } from '../diagnose/diagnosis.js';
import type { Digests } from '../bytes/digests.js';
import { isSizeOnly, type Firmware } from '../manifest/model.js';
import { compareUtf8 } from '../text/order.js';
import type { Origin } from '../recognise/origin.js';

/** Whether an entry gives nothing to prove bytes by: no dumps, or only sizes. Such an entry is never filled from elsewhere. */
export function provesNothing({ dumps, members }: Pick<Firmware, 'dumps' | 'members'>): boolean {
  return members === null && dumps.every(isSizeOnly);
}

/** A firmware entry that some bytes are acceptable for. */
export interface CandidateUse {
  readonly firmware: string;
  /** Label of the dump they are; null for a ZIP judged by its members. */
  readonly dump: string | null;
}

/** A member of an entry's ZIP that some bytes are acceptable for. */
export interface MemberUse {
  readonly firmware: string;
  /** As the manifest names the member. */
  readonly member: string;
  /** Label of the dump they are. */
  readonly dump: string;
}

/** Bytes that can be placed: a file, a ZIP's member, or what a remedy makes of either. */
export interface Candidate {
  readonly origin: Origin;
  /** Null when the bytes at the origin are placed as they are. */
  readonly remedy: Remedy | null;
  /** Bytes of what is placed. */
  readonly size: number;
  /** Of what is placed; at least one algorithm, so that the copy can be checked. */
  readonly digests: Digests;
  readonly uses: readonly CandidateUse[];
  /** What it can be packed as. */
  readonly memberUses: readonly MemberUse[];
}

export function isOnCard(candidate: Candidate): boolean {
  return candidate.origin.source === null;
}

/** Whether the bytes are a plain file as it lies there. */
export function isWhole(candidate: Candidate): boolean {
  return candidate.origin.inside.length === 0 && candidate.remedy === null;
}

/**
 * Sorts by how little can go wrong: whole files of the pile, then members of
 * ZIPs, then whole files and members on the card (which is slow and wears
 * out), then repairs. The order given decides within the pile, the path on the card.
 */
function byPreference(candidates: readonly Candidate[]): Candidate[] {
  return candidates
    .map((candidate, index) => ({ candidate, index }))
    .sort((a, b) => {
      const rank = rankOf(a.candidate) - rankOf(b.candidate);
      if (rank !== 0) return rank;
      return isOnCard(a.candidate)
        ? compareUtf8(a.candidate.origin.path, b.candidate.origin.path) || a.index - b.index
        : a.index - b.index;
    })
    .map(({ candidate }) => candidate);
}

function rankOf(candidate: Candidate): number {
  if (candidate.remedy !== null) return isOnCard(candidate) ? 5 : 4;
  if (isOnCard(candidate)) return isWhole(candidate) ? 2 : 3;
  return isWhole(candidate) ? 0 : 1;
}

/** Candidates by the firmware they are acceptable for, each list by preference. */
export class CandidateIndex {
  readonly #byFirmware = new Map<string, Map<Candidate, CandidateUse>>();
  readonly #byMember = new Map<string, Map<Candidate, MemberUse>>();

  constructor(candidates: readonly Candidate[]) {
    for (const candidate of byPreference(candidates)) {
      for (const use of candidate.uses) {
        const known = this.#byFirmware.get(use.firmware);
        if (known === undefined) this.#byFirmware.set(use.firmware, new Map([[candidate, use]]));
        else if (!known.has(candidate)) known.set(candidate, use);
      }
      for (const use of candidate.memberUses) {
        const key = memberKey(use.firmware, use.member);
        const known = this.#byMember.get(key);
        if (known === undefined) this.#byMember.set(key, new Map([[candidate, use]]));
        else if (!known.has(candidate)) known.set(candidate, use);
      }
    }
  }

  /** Candidates acceptable for every one of these, best first. */
  forAll([first, ...others]: readonly string[]): Candidate[] {
    if (first === undefined) return [];
    return [...(this.#byFirmware.get(first)?.keys() ?? [])].filter((candidate) =>
      others.every((id) => this.#byFirmware.get(id)?.has(candidate) === true),
    );
  }

  /** Whether anything at all is acceptable for this one. */
  hasAny(firmware: string): boolean {
    return this.#byFirmware.has(firmware);
  }

  /** Candidates for a member that every one of these entries wants, best first, and as what dump. */
  forMember([first, ...others]: readonly string[], member: string): [Candidate, MemberUse][] {
    if (first === undefined) return [];
    return [...(this.#byMember.get(memberKey(first, member)) ?? [])].filter(([candidate]) =>
      others.every((id) => this.#byMember.get(memberKey(id, member))?.has(candidate) === true),
    );
  }

  /** As what a candidate is acceptable for one firmware; undefined when it is not. */
  use(candidate: Candidate, firmware: string): CandidateUse | undefined {
    return this.#byFirmware.get(firmware)?.get(candidate);
  }
}

function memberKey(firmware: string, member: string): string {
  return JSON.stringify([firmware, member]);
}
