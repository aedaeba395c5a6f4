import {
  CAUTIONS,
  FirmtallyError,
  isSettled,
  jsonText,
  noneNotReady,
  planDocument,
  type Manifest,
  type PlanDocument,
  type ResultRow,
} from '@firmtally/core';
import {
  openPlacement,
  PlaceStopped,
  withSlashes,
  type ApplyResult,
  type Outlook,
  type Placement,
  type StopCode,
} from '@firmtally/host';
import { paint, type Context } from '../context.js';
import { EXIT, type ExitCode } from '../exit-code.js';
import { startProgress } from '../terminal/progress.js';
import { pathMessage } from '../trouble-text.js';
import { withInterruption } from './interruption.js';
import type { PlaceOptions } from './options.js';

/** Plans, and with `--apply` places. Throws FirmtallyError. */
export async function runPlace(
  options: PlaceOptions,
  manifest: Manifest,
  context: Context,
): Promise<ExitCode> {
  if (options.apply && !context.quiet) {
    await caution(context);
  }
  const placement = await openPlacement({
    card: options.onto,
    sources: options.sources,
    cwd: context.cwd,
    manifest,
    request: {
      ...(options.systems === null ? {} : { systems: options.systems }),
      loadout: options.loadout,
    },
    repair: options.repair,
    clusterSize: options.cluster,
  });
  try {
    refuseNothing(placement);
    if (options.apply) return await apply(placement, options, manifest, context);
    const outlook = await look(placement, context);
    await print(documentOf(outlook, options, null), options, manifest, context);
    return isSettled(outlook) ? EXIT.good : EXIT.differs;
  } finally {
    await placement.close();
  }
}

/** Before anything is looked at, so that there is time to think again. */
async function caution(context: Context): Promise<void> {
  const { wrap } = await import('../terminal/wrap.js');
  const lines = CAUTIONS.flatMap((line) => wrap(`Caution: ${line}`, context.columns));
  await context.stderr.write(`${lines.join('\n')}\n`);
}

/** A run that checks nothing must not look like one where all is well. */
function refuseNothing({ selection }: Placement): void {
  if (selection.systems.length > 0) return;
  throw new FirmtallyError(
    'manifest-invalid',
    'No system is selected, so there is nothing to place.',
    'Add a `systems:` section to the manifest, or name systems in the loadout.',
  );
}

async function look(placement: Placement, context: Context): Promise<Outlook> {
  const line = startProgress(context);
  try {
    return await placement.look((path) => line.at(path));
  } finally {
    await line.stop();
  }
}

async function apply(
  placement: Placement,
  options: PlaceOptions,
  manifest: Manifest,
  context: Context,
): Promise<ExitCode> {
  let outlook = await look(placement, context);
  const { leftovers } = outlook;
  if (leftovers.length > 0) {
    await clear(placement, outlook, context);
    outlook = await look(placement, context);
  }
  const full = outlook.plan.problems.find(({ rule }) => rule === 'not-enough-space');
  if (full !== undefined) {
    throw new FirmtallyError(
      'place-failed',
      `${options.onto}: ${full.message} Nothing was written.`,
      'Make room on the card, or place fewer systems with --system.',
    );
  }
  const { results, stopped } = await applySteps(placement, outlook, context);
  if (stopped?.code === 'card-gone') throw trouble(stopped, options);
  const after = await look(placement, context);
  const rows = results.map(({ step, outcome, message }): ResultRow => {
    return { to: step.to, outcome, message };
  });
  const document = documentOf({ ...after, plan: outlook.plan, leftovers }, options, rows);
  await print(document, options, manifest, context);
  if (stopped !== null) throw trouble(stopped, options);
  const failed = rows.some(({ outcome }) => outcome !== 'done');
  return !failed && noneNotReady(after.systems) ? EXIT.good : EXIT.differs;
}

async function clear(placement: Placement, outlook: Outlook, context: Context): Promise<void> {
  try {
    for (const { leftover, message } of await placement.clear(outlook.leftovers)) {
      if (message === null) continue;
      await context.stderr.write(pathMessage(leftover.path, message));
    }
  } catch (error) {
    if (error instanceof PlaceStopped) {
      throw new FirmtallyError('place-failed', error.message, REMEDY[error.code]);
    }
    throw error;
  }
}

async function applySteps(
  placement: Placement,
  { plan }: Outlook,
  context: Context,
): Promise<ApplyResult> {
  // Each byte is written once and read back once.
  const totalBytes = plan.steps.reduce((sum, { size }) => sum + 2 * size, 0);
  const line = startProgress(context, { totalBytes });
  try {
    return await withInterruption((signal) =>
      placement.apply(plan, {
        signal,
        onStep: (step) => line.at(step.to),
        onBytes: (bytes) => line.advance(bytes),
      }),
    );
  } finally {
    await line.stop();
  }
}

const REMEDY: Readonly<Record<StopCode, string>> = {
  'no-space': 'Make room on the card and run the same command again: it goes on where it stopped.',
  'read-only': 'Then run the same command again.',
  'card-gone': 'Put the card in again and run the same command: it goes on where it stopped.',
  interrupted: 'Nothing is half-done; run the same command again to go on.',
};

function trouble(stopped: PlaceStopped, options: PlaceOptions): FirmtallyError {
  const message = `${options.onto}: ${stopped.message}`;
  return new FirmtallyError('place-failed', message, REMEDY[stopped.code], { cause: stopped });
}

function documentOf(
  outlook: Outlook,
  options: PlaceOptions,
  result: readonly ResultRow[] | null,
): PlanDocument {
  return planDocument({ ...outlook, onto: withSlashes(options.onto), result });
}

async function print(
  document: PlanDocument,
  options: PlaceOptions,
  manifest: Manifest,
  context: Context,
): Promise<void> {
  if (options.format === 'json') {
    await context.stdout.write(jsonText(document));
    return;
  }
  const { renderPlanText } = await import('./render-text.js');
  const { columns } = context;
  await context.stdout.write(
    renderPlanText(document, manifest, {
      columns,
      paint: (style, text) => paint(context, style, text),
    }),
  );
}
