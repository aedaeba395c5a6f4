import type { Readiness } from '../judge/verdict.js';
import type { Leftover } from './leftovers.js';
import type { Plan } from './model.js';

type Systems = readonly { readonly readiness: Readiness }[];

/** Whether no system lacks anything it requires; unproven ones count as fine, as in an audit. */
export function noneNotReady(systems: Systems): boolean {
  return systems.every(({ readiness }) => readiness !== 'not-ready');
}

/** What a look at the card found, as far as it decides whether it is settled. */
export interface PlanOutlook {
  readonly plan: Pick<Plan, 'steps' | 'problems'>;
  readonly leftovers: readonly Leftover[];
  readonly systems: Systems;
}

/** Nothing to do, and nothing that should be done but cannot. */
export function isSettled({ plan, leftovers, systems }: PlanOutlook): boolean {
  // That optional firmware could be repaired is an offer, no duty.
  const problems = plan.problems.filter(({ code }) => code !== 'needs-repair');
  return plan.steps.length + problems.length + leftovers.length === 0 && noneNotReady(systems);
}
