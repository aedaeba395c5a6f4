import type { Digests } from '../bytes/digests.js';
import type { Fact } from '../facts/fact-values.js';
import type { Obstacle } from './obstacles.js';

/** What can be said of one firmware entry, in the order totals list them. */
export const VERDICTS = [
  'match',
  'mismatch',
  'misplaced',
  'miscased',
  'missing',
  'unverified',
  'unreadable',
] as const;
/** What can be said of one firmware entry. */
export type Verdict = (typeof VERDICTS)[number];

/** What can be said of one system, best first. */
export const READINESS = ['ready', 'unproven', 'not-ready'] as const;
/** What can be said of one system. */
export type Readiness = (typeof READINESS)[number];

/** The verdict on one firmware entry and what it rests on. */
export interface FirmwareVerdict {
  readonly id: string;
  readonly verdict: Verdict;
  /** Whether digests show the bytes to be right: always for `match`, never for `unverified`, either for `misplaced` and `miscased`. */
  readonly proven: boolean;
  readonly expectedPath: string;
  /** Path of the file the verdict is about (docs/verdicts.md says which); null when nothing was found. */
  readonly foundAt: string | null;
  /** Label of the dump that matched; null when none did, or the entry has members. */
  readonly dump: string | null;
  /** Path of the file whose size and digests these are: the expected (or miscased) one if present, else `foundAt`. */
  readonly judged: string | null;
  /** Bytes of `judged`; null when there is no such file or it is not readable. */
  readonly size: number | null;
  /**
   * Of `judged`; null when it was not hashed (missing, unreadable, or found elsewhere by its name or its
   * members alone). At the expected path CRC-32, MD5 and SHA-1 are always taken, of presence-only entries
   * and whole ZIPs too, so that a later run can tell whether bytes changed.
   */
  readonly digests: Digests | null;
  /** The value of every byte of `judged`, when all were seen to be equal. */
  readonly fill?: number;
  /** What else is so: a link read, extra members, which member is wrong, … */
  readonly facts: readonly Fact[];
  /** What keeps the expected path from being looked at or from existing; present only when something does. */
  readonly obstacle?: Obstacle;
}
