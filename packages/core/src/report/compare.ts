import { ALGORITHMS, type Digests } from '../digest/engine.js';
import type { Readiness, Verdict } from '../judge/verdict.js';
import { foldCase } from '../text/fold.js';
import type { FirmwareRow, Report } from './model.js';

export interface VerdictChange {
  readonly firmware: string;
  readonly before: Verdict;
  readonly now: Verdict;
}

/** A file whose bytes are not those of the earlier report. */
export interface ByteChange {
  readonly firmware: string;
  readonly path: string;
  /** Bytes. */
  readonly sizeBefore: number;
  /** Bytes. */
  readonly size: number;
  /** The size is the same and the modification time no later than the earlier report's, so nobody meant to change it: the card may be failing. */
  readonly silently: boolean;
}

export interface ReadinessChange {
  readonly system: string;
  readonly before: Readiness;
  readonly now: Readiness;
}

/** What changed since an earlier report. Lists are in id order. */
export interface Comparison {
  readonly newlyWrong: readonly VerdictChange[];
  readonly newlyRight: readonly VerdictChange[];
  /** Another verdict, but as right or as wrong as before. */
  readonly otherwise: readonly VerdictChange[];
  /** How many firmware have the verdict they had. */
  readonly unchanged: number;
  readonly changedBytes: readonly ByteChange[];
  /** Ids that the earlier report does not have, for another manifest or selection. */
  readonly appeared: readonly string[];
  /** Ids that only the earlier report has. */
  readonly gone: readonly string[];
  /** Systems of both reports whose readiness is another. */
  readonly systems: readonly ReadinessChange[];
}

/** What a report does not say of itself, as it carries no times. */
export interface ComparisonFacts {
  /** Whether a file was last modified no later than the earlier report was made. */
  unchangedTime(path: string): boolean;
}

/** Says what changed between two reports on the same root. */
export function compareReports(earlier: Report, now: Report, facts: ComparisonFacts): Comparison {
  const before = new Map(earlier.firmware.map((row) => [row.id, row]));
  const current = new Set(now.firmware.map((row) => row.id));
  const changes: Record<'newlyWrong' | 'newlyRight' | 'otherwise', VerdictChange[]> = {
    newlyWrong: [],
    newlyRight: [],
    otherwise: [],
  };
  let unchanged = 0;
  const changedBytes: ByteChange[] = [];
  for (const row of now.firmware) {
    const old = before.get(row.id);
    if (old === undefined) continue;
    if (old.verdict === row.verdict) unchanged++;
    else {
      changes[kindOfChange(old.verdict, row.verdict)].push({
        firmware: row.id,
        before: old.verdict,
        now: row.verdict,
      });
    }
    const change = byteChange(old, row, facts);
    if (change !== null) changedBytes.push(change);
  }
  return {
    ...changes,
    unchanged,
    changedBytes,
    appeared: now.firmware.map((row) => row.id).filter((id) => !before.has(id)),
    gone: earlier.firmware.map((row) => row.id).filter((id) => !current.has(id)),
    systems: readinessChanges(earlier, now),
  };
}

function kindOfChange(before: Verdict, now: Verdict): 'newlyWrong' | 'newlyRight' | 'otherwise' {
  if (isRightVerdict(before) === isRightVerdict(now)) return 'otherwise';
  return isRightVerdict(now) ? 'newlyRight' : 'newlyWrong';
}

function isRightVerdict(verdict: Verdict): boolean {
  return verdict === 'match' || verdict === 'unverified';
}

function byteChange(old: FirmwareRow, row: FirmwareRow, facts: ComparisonFacts): ByteChange | null {
  const path = judgedPath(row);
  const oldPath = judgedPath(old);
  if (path === null || oldPath === null || foldCase(path) !== foldCase(oldPath)) return null;
  if (old.size === null || row.size === null) return null;
  const sameSize = old.size === row.size;
  if (sameSize && !differ(old.digests, row.digests)) return null;
  return {
    firmware: row.id,
    path,
    sizeBefore: old.size,
    size: row.size,
    silently: sameSize && facts.unchangedTime(path),
  };
}

/** Of the file whose size and digests the row has: a mismatch's `foundAt` may be another file, with the right bytes. */
function judgedPath(row: FirmwareRow): string | null {
  if (row.foundAt === null) return null;
  if (row.verdict !== 'mismatch') return row.foundAt;
  return foldCase(row.foundAt) === foldCase(row.expectedPath) ? row.foundAt : row.expectedPath;
}

/** Whether an algorithm that both have gives different digests. */
function differ(a: Digests | null, b: Digests | null): boolean {
  if (a === null || b === null) return false;
  return ALGORITHMS.some(
    (algorithm) =>
      a[algorithm] !== undefined && b[algorithm] !== undefined && a[algorithm] !== b[algorithm],
  );
}

function readinessChanges(earlier: Report, now: Report): ReadinessChange[] {
  const before = new Map(earlier.systems.map((row) => [row.id, row.readiness]));
  const changes: ReadinessChange[] = [];
  for (const { id, readiness } of now.systems) {
    const old = before.get(id);
    if (old !== undefined && old !== readiness) {
      changes.push({ system: id, before: old, now: readiness });
    }
  }
  return changes;
}
