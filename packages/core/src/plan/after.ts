import { judgeReadiness, type SystemRow } from '../judge/readiness.js';
import {
  READINESS,
  VERDICTS,
  type FirmwareVerdict,
  type Readiness,
  type Verdict,
} from '../judge/verdict.js';
import { isPresenceOnly } from '../manifest/model.js';
import type { Selection } from '../manifest/selection.js';
import type { CardNode, VirtualCard } from './virtual-card.js';

/** How many systems and firmware there are of each kind. */
export interface PlanTotals {
  readonly systems: Readonly<Record<Readiness, number>>;
  readonly firmware: Readonly<Record<Verdict, number>>;
}

/** How the card will stand once the steps are done. */
export interface PlanOutcome {
  readonly systems: readonly { readonly id: string; readonly readiness: Readiness }[];
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
}

/** What auditing the card after the steps would say. */
export function outcomeOf(input: OutcomeInput): PlanOutcome {
  const verdicts = verdictsAfter(input);
  const systems = judgeReadiness(input.selection, verdicts, input.card.inventory());
  return {
    systems: systems.map(({ id, readiness }) => ({ id, readiness })),
    totals: totalsOf(systems, verdicts),
  };
}

/** Counts rows. */
export function totalsOf(
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

function verdictsAfter({
  selection,
  verdicts,
  card,
  nodes,
  placed,
}: OutcomeInput): FirmwareVerdict[] {
  const unproven = new Set(
    selection.firmware
      .filter(({ firmware }) => isPresenceOnly(firmware))
      .map(({ firmware }) => firmware.id),
  );
  return verdicts.map((each) => {
    const { id, verdict, expectedPath, judged } = each;
    const node = judged === null ? undefined : nodes.get(judged);
    // A folder that got its letter case may have put others right too.
    const respelled =
      verdict === 'miscased' && node !== undefined && card.pathOf(node) === expectedPath;
    if (!placed.has(id) && !respelled) return each;
    return { ...each, verdict: unproven.has(id) ? 'unverified' : 'match', foundAt: expectedPath };
  });
}
