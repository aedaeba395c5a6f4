import type { Remedy } from '../diagnose/diagnosis.js';
import type { Digests } from '../digest/engine.js';
import { compareUtf8 } from '../text/order.js';
import type { Origin } from './model.js';

/** A firmware entry that some bytes are acceptable for. */
export interface CandidateUse {
  readonly firmware: string;
  /** Label of the dump they are; null for a ZIP judged by its members, and for unverified bytes. */
  readonly dump: string | null;
  /** False when the entry gives no digests and only the name fits. */
  readonly verified: boolean;
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
}

export function isOnCard(candidate: Candidate): boolean {
  return candidate.origin.source === null;
}

/** Whether the bytes are a plain file as it lies there. */
export function isWhole(candidate: Candidate): boolean {
  return candidate.origin.member === null && candidate.remedy === null;
}

/**
 * Sorts by how little can go wrong: whole files of the pile, then members of
 * ZIPs, then whole files and members on the card (which is slow and wears
 * out), then repairs. The order given decides within the pile, the path on the card.
 */
export function byPreference(candidates: readonly Candidate[]): Candidate[] {
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
  if (isOnCard(candidate)) return candidate.origin.member === null ? 2 : 3;
  return candidate.origin.member === null ? 0 : 1;
}

/** The use of a candidate for one firmware; undefined when it is not acceptable for it. */
export function useFor(candidate: Candidate, firmware: string): CandidateUse | undefined {
  return candidate.uses.find((use) => use.firmware === firmware);
}
