import { tooFewIn, type TooFew } from '../judge/folder-check.js';
import { judgeReadiness, type SystemRow } from '../judge/readiness.js';
import {
  READINESS,
  VERDICTS,
  type FirmwareVerdict,
  type Readiness,
  type Verdict,
} from '../judge/verdict.js';
import { isPresenceOnly, type Firmware } from '../manifest/model.js';
import type { Selection } from '../manifest/selection.js';
import { foldCase } from '../text/fold.js';
import { baseName } from '../text/path.js';
import { provesNothing } from './candidate.js';
import type { CardNode, VirtualCard } from './virtual-card.js';

/** How many systems and firmware there are of each kind. */
export interface PlanTotals {
  readonly systems: Readonly<Record<Readiness, number>>;
  readonly firmware: Readonly<Record<Verdict, number>>;
}

/** How the card will stand once the steps are done. */
export interface PlanOutcome {
  readonly systems: readonly {
    readonly id: string;
    readonly readiness: Readiness;
    readonly tooFew: readonly TooFew[];
  }[];
  readonly totals: PlanTotals;
}

export interface OutcomeInput {
  readonly selection: Selection;
  /** As the card is now. */
  readonly verdicts: readonly FirmwareVerdict[];
  /** The card after the steps. */
  readonly card: VirtualCard;
  /** What the judged files of before are on it. */
  readonly nodes: ReadonlyMap<string, CardNode>;
  /** Ids of the firmware whose bytes the steps bring in place, and of that which was right before. */
  readonly placed: ReadonlySet<string>;
  /** Whether bytes that a step wrote are right for a firmware: at a path in whatever letter case, or anywhere (null). */
  readonly isWritten: (firmware: string, path: string | null) => boolean;
  /** Where steps write files. */
  readonly writtenTo: readonly string[];
}

/** What auditing the card after the steps would say. */
export function outcomeOf(input: OutcomeInput): PlanOutcome {
  const verdicts = verdictsAfter(input);
  const systems = judgeReadiness(input.selection, verdicts, input.card.inventory());
  return {
    systems: systems.map(({ id, readiness, folders }) => {
      return { id, readiness, tooFew: tooFewIn(folders) };
    }),
    totals: totalsOf(systems, verdicts),
  };
}

/** Counts rows. */
function totalsOf(
  systems: readonly Pick<SystemRow, 'readiness'>[],
  firmware: readonly Pick<FirmwareVerdict, 'verdict'>[],
): PlanTotals {
  const states = new Map(READINESS.map((each): [Readiness, number] => [each, 0]));
  for (const { readiness } of systems) states.set(readiness, (states.get(readiness) ?? 0) + 1);
  const verdicts = new Map(VERDICTS.map((each): [Verdict, number] => [each, 0]));
  for (const { verdict } of firmware) verdicts.set(verdict, (verdicts.get(verdict) ?? 0) + 1);
  return {
    systems: Object.fromEntries(states) as Record<Readiness, number>,
    firmware: Object.fromEntries(verdicts) as Record<Verdict, number>,
  };
}

function verdictsAfter(input: OutcomeInput): FirmwareVerdict[] {
  const written = {
    folders: new Set(input.card.newFolders().map(({ path }) => foldCase(path))),
    paths: new Set(input.writtenTo.map(foldCase)),
    names: new Set(input.writtenTo.map((path) => foldCase(baseName(path)))),
  };
  const firmware = new Map(
    input.selection.firmware.map((each) => [each.firmware.id, each.firmware]),
  );
  return input.verdicts.map((each): FirmwareVerdict => {
    const one = firmware.get(each.id);
    const verdict =
      one === undefined ? each.verdict : verdictAfter(each, one, { ...input, written });
    const { foundAt, expectedPath } = each;
    const isThere = verdict === 'match' || verdict === 'unverified';
    return {
      ...each,
      verdict,
      proven: verdict === 'match' || (verdict === each.verdict && each.proven),
      foundAt: isThere ? expectedPath : foundAt,
    };
  });
}

/** Case-folded paths and names of the files that steps write, and paths of the folders they make. */
interface WrittenNames {
  readonly folders: ReadonlySet<string>;
  readonly paths: ReadonlySet<string>;
  readonly names: ReadonlySet<string>;
}

function verdictAfter(
  { id, verdict, expectedPath, judged, proven }: FirmwareVerdict,
  firmware: Firmware,
  { card, nodes, placed, isWritten, written }: OutcomeInput & { readonly written: WrittenNames },
): Verdict {
  if (placed.has(id)) return provesNothing(firmware) ? 'unverified' : 'match';
  const before = judged === null ? undefined : nodes.get(judged);
  const there = card.get(expectedPath);
  // A folder that got its letter case may have put others right too.
  if (verdict === 'miscased' && before !== undefined && before === there) {
    return proven ? 'match' : 'unverified';
  }
  if (there === undefined) {
    if (verdict !== 'missing' && verdict !== 'misplaced') return verdict;
    if (written.folders.has(foldCase(expectedPath))) return 'unreadable';
    const byName = isPresenceOnly(firmware);
    if (written.paths.has(foldCase(expectedPath))) {
      // Another entry's file, whose name differs in letter case only.
      if (!byName && !isWritten(id, expectedPath)) return 'mismatch';
      if (firmware.case === 'exact') return 'miscased';
      return byName ? 'unverified' : 'match';
    }
    const isElsewhere =
      isWritten(id, null) || (byName && written.names.has(foldCase(baseName(expectedPath))));
    return isElsewhere ? 'misplaced' : verdict;
  }
  if (there === before || verdict === 'unreadable') return verdict;
  // Something new stands there: a folder on the way to another file, or another entry's file.
  if (there.kind !== 'file') return 'unreadable';
  if (isWritten(id, expectedPath)) return 'match';
  return isPresenceOnly(firmware) ? 'unverified' : 'mismatch';
}
