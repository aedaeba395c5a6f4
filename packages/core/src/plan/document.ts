import type { Fault } from '../bytes/source.js';
import { tooFewIn, type TooFew } from '../judge/folder-check.js';
import type { SystemRow } from '../judge/readiness.js';
import type { Readiness } from '../judge/verdict.js';
import { TOOL } from '../version.js';
import type { Hint } from '../facts/hint.js';
import type { PlanOutcome } from './after.js';
import type { Leftover } from './leftovers.js';
import type { PlanProblem } from '../facts/plan-problem.js';
import type { KeptFile, Plan, Step } from './model.js';
import type { ToGetRow } from './to-get.js';

/** How a step ended. `not-done`: the run stopped before it, or at it. `message` is one plain sentence. */
export type StepOutcome =
  | { readonly outcome: 'done'; readonly message: null }
  | { readonly outcome: 'failed' | 'not-done'; readonly message: string };

/** What became of the step that leads to a path. */
export type ResultRow = { readonly to: string } & StepOutcome;

/** The plan as data; data-schemas/plan.schema.json describes it. Same input, same bytes, but for the free space at the end. */
export interface PlanDocument {
  readonly plan: 1;
  readonly tool: { readonly name: string; readonly version: string };
  /** The card as the caller gave it, with '/' separators. */
  readonly onto: string;
  /** Bytes of one cluster. */
  readonly cluster: number;
  readonly steps: readonly Step[];
  readonly kept: readonly KeptFile[];
  /** What neither the card nor the pile can provide. */
  readonly toGet: readonly ToGetRow[];
  /** What may explain that much is wrong at once, of the card as it was looked at. */
  readonly hints: readonly Hint[];
  readonly problems: readonly PlanProblem[];
  readonly leftovers: readonly Leftover[];
  /** Files of the pile and the card that could not be read; `source` null is the card. */
  readonly faults: readonly (Fault & { readonly source: string | null })[];
  /** Each selected system as the card is now: before the steps, or with `result`, after them. */
  readonly systems: readonly {
    readonly id: string;
    readonly name: string;
    readonly readiness: Readiness;
    readonly tooFew: readonly TooFew[];
  }[];
  /** Present once the plan was applied: one row for each step, in order. */
  readonly result?: readonly ResultRow[];
  readonly space: Plan['space'];
  /** Whether there is room for the steps; null when the card does not say. */
  readonly fits: boolean | null;
  /** The systems once the steps are done. */
  readonly after: PlanOutcome;
}

/** Everything a {@link PlanDocument} is made of. */
export interface PlanDocumentInput {
  readonly onto: string;
  readonly plan: Plan;
  readonly leftovers: readonly Leftover[];
  readonly faults: PlanDocument['faults'];
  readonly hints: readonly Hint[];
  readonly systems: readonly SystemRow[];
  /** Null: nothing was applied. */
  readonly result: readonly ResultRow[] | null;
}

/** Makes the document; adds no judgement. */
export function planDocument(input: PlanDocumentInput): PlanDocument {
  const { plan, result } = input;
  return {
    plan: 1,
    tool: TOOL,
    onto: input.onto,
    cluster: plan.space.clusterSize,
    steps: plan.steps,
    kept: plan.kept,
    toGet: plan.toGet,
    hints: input.hints,
    problems: plan.problems,
    leftovers: input.leftovers,
    faults: input.faults,
    systems: input.systems.map(({ id, name, readiness, folders }) => {
      return { id, name, readiness, tooFew: tooFewIn(folders) };
    }),
    ...(result === null ? {} : { result }),
    space: plan.space,
    fits: plan.fits,
    after: plan.after,
  };
}
