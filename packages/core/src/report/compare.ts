import { ALGORITHMS, type Digests } from '../bytes/digests.js';
import { advice } from '../facts/advice.js';
import type { Verdict } from '../judge/verdict.js';
import { foldCase } from '../text/fold.js';
import type {
  ByteChange,
  Comparison,
  FirmwareRow,
  ReadinessChange,
  Report,
  VerdictChange,
} from './model.js';

/** The part of an earlier report that a comparison reads. */
export interface EarlierReport {
  readonly systems: readonly Pick<Report['systems'][number], 'id' | 'readiness'>[];
  readonly firmware: readonly Pick<FirmwareRow, 'id' | 'verdict' | 'judged' | 'size' | 'digests'>[];
}

/** What a report does not say of itself, as it carries no times. */
export interface ComparisonFacts {
  /** Whether a file was last modified no later than the earlier report was made. */
  unchangedTime(path: string): boolean;
}

/**
 * Says what changed between two reports on the same root.
 *
 * @example
 * // Reports carry no times: without the files at hand nothing is called silent.
 * const changes = compareReports(report, report, { unchangedTime: () => false });
 * changes.unchanged; // => 2
 */
export function compareReports(
  earlier: EarlierReport,
  now: Report,
  facts: ComparisonFacts,
): Comparison {
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
    advice: changedBytes.some(({ silently }) => silently) ? advice('save-card', {}) : null,
  };
}

function kindOfChange(before: Verdict, now: Verdict): 'newlyWrong' | 'newlyRight' | 'otherwise' {
  if (isRightVerdict(before) === isRightVerdict(now)) return 'otherwise';
  return isRightVerdict(now) ? 'newlyRight' : 'newlyWrong';
}

function isRightVerdict(verdict: Verdict): boolean {
  return verdict === 'match' || verdict === 'unverified';
}

function byteChange(
  old: EarlierReport['firmware'][number],
  row: FirmwareRow,
  facts: ComparisonFacts,
): ByteChange | null {
  const { judged } = row;
  // The same file only: of one that was moved, another was judged.
  if (judged === null || old.judged === null || foldCase(judged) !== foldCase(old.judged)) {
    return null;
  }
  if (old.size === null || row.size === null) return null;
  const sameSize = old.size === row.size;
  if (sameSize && !differ(old.digests, row.digests)) return null;
  return {
    firmware: row.id,
    path: judged,
    sizeBefore: old.size,
    size: row.size,
    silently: sameSize && facts.unchangedTime(judged),
  };
}

/** Whether an algorithm that both have gives different digests. */
function differ(a: Digests | null, b: Digests | null): boolean {
  if (a === null || b === null) return false;
  return ALGORITHMS.some(
    (algorithm) =>
      a[algorithm] !== undefined && b[algorithm] !== undefined && a[algorithm] !== b[algorithm],
  );
}

function readinessChanges(earlier: EarlierReport, now: Report): ReadinessChange[] {
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
