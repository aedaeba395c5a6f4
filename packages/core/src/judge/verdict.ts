import type { Digests } from '../digest/engine.js';

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
export type Verdict = (typeof VERDICTS)[number];

/** What can be said of one system, best first. */
export const READINESS = ['ready', 'unproven', 'not-ready'] as const;
export type Readiness = (typeof READINESS)[number];

/** The verdict on one firmware entry and what it rests on. */
export interface FirmwareVerdict {
  readonly id: string;
  readonly verdict: Verdict;
  readonly expectedPath: string;
  /** Path of the file the verdict is about (see design: "How a verdict is reached"); null when nothing was found. */
  readonly foundAt: string | null;
  /** Label of the dump that matched; null when none did, or the entry has members. */
  readonly dump: string | null;
  /** Path of the file whose size and digests these are: the expected (or miscased) one if present, else `foundAt`. */
  readonly judged: string | null;
  /** Bytes of `judged`; null when there is no such file or it is not readable. */
  readonly size: number | null;
  /** Of `judged`; null when it was not hashed (missing, unreadable, presence only, size already differs from every dump). */
  readonly digests: Digests | null;
  /** Plain sentences of detail: link read, extra members, which member is wrong, … */
  readonly detail: readonly string[];
}
