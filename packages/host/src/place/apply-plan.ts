import type { ArchiveReader, DigestEngine, Plan, Step, StepOutcome } from '@firmtally/core';
import { keptFor } from '@firmtally/core/internal';
import type { CardFs } from './card-fs.js';
import type { OpenOrigin } from './open-origin.js';
import { PlaceStopped, toPlaceError, type StepFailure } from './place-error.js';
import { doStep, interrupted, type StepTools } from './step.js';

/** What became of one step of a plan. */
export type StepResult = { readonly step: Step } & StepOutcome;

/** What became of a whole plan. */
export interface PlanResult {
  /** One for each step, in order. */
  readonly results: readonly StepResult[];
  /** Why not every step was tried; null when each was. */
  readonly stopped: PlaceStopped | null;
}

export interface PlanTools {
  readonly card: CardFs;
  readonly open: OpenOrigin;
  readonly archives: ArchiveReader;
  readonly engine: DigestEngine;
  /** Stops between two chunks, with the temporary file removed. */
  readonly signal?: AbortSignal;
  readonly onStep?: (step: Step, index: number) => void;
  /** Told what became of each step, as soon as that is known. */
  readonly onResult?: (result: StepResult, index: number) => void | Promise<void>;
  /** Told how many more bytes are written or read back. */
  readonly onBytes?: (count: number) => void;
}

/**
 * Does a plan's steps in order. A file is written under a temporary name in
 * its own folder, synced, read back and compared, and only then given its
 * name. A step that fails leaves the card as it was, and the next is tried; a
 * full, read-only or vanished card ends the run. Killed at any moment, nothing
 * that was on the card is lost, and planning and applying again ends the same.
 */
export async function applyPlan(plan: Plan, options: PlanTools): Promise<PlanResult> {
  const { card, signal } = options;
  const tools: StepTools = { ...options, signal, onBytes: options.onBytes };
  const results: StepResult[] = [];
  let stopped: PlaceStopped | null = null;
  const note = async (result: StepResult): Promise<void> => {
    results.push(result);
    await options.onResult?.(result, results.length - 1);
  };
  for (const [index, step] of plan.steps.entries()) {
    if (signal?.aborted === true) stopped ??= interrupted();
    if (stopped !== null) {
      await note({ step, outcome: 'not-done', message: stopped.message });
      continue;
    }
    options.onStep?.(step, index);
    const error = await attempt(() => doStep(step, keptFor(plan, step), tools), card);
    if (error instanceof PlaceStopped) stopped = error;
    if (error === null) await note({ step, outcome: 'done', message: null });
    else {
      const outcome = error === stopped ? 'not-done' : 'failed';
      await note({ step, outcome, message: error.message });
    }
  }
  return { results, stopped };
}

async function attempt(
  step: () => Promise<void>,
  card: CardFs,
): Promise<StepFailure | PlaceStopped | null> {
  try {
    await step();
    return null;
  } catch (error) {
    const known = toPlaceError(error);
    if (known instanceof PlaceStopped || (await isThere(card))) return known;
    return new PlaceStopped('card-gone', 'The card is no longer there.', { cause: error });
  }
}

async function isThere(card: CardFs): Promise<boolean> {
  try {
    return await card.isThere();
  } catch {
    return false; // a card that cannot even be asked is not there
  }
}
