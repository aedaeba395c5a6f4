import type { Readiness } from '../judge/verdict.js';
import type { Outlook } from './outlook.js';

type Systems = readonly { readonly readiness: Readiness }[];

/** Whether no system lacks anything it requires; unproven ones count as fine, as in an audit. */
export function noneNotReady(systems: Systems): boolean {
  return systems.every(({ readiness }) => readiness !== 'not-ready');
}

/** Nothing to do, and nothing that should be done but cannot. */
export function isSettled({ plan, leftovers, systems }: Outlook): boolean {
  // That optional firmware could be repaired is an offer, no duty.
  const problems = plan.problems.filter(({ code }) => code !== 'needs-repair');
  return plan.steps.length + problems.length + leftovers.length === 0 && noneNotReady(systems);
}
