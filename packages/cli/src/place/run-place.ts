import {
  CAUTIONS,
  FirmtallyError,
  jsonText,
  type Manifest,
  type Outlook,
  type PlanDocument,
  type ResultRow,
} from '@firmtally/core';
import { isSettled, noneNotReady, planDocument } from '@firmtally/core/internal';
import {
  openPlacement,
  PlaceStopped,
  type Applied,
  type Placement,
  type StepResult,
  type StopCode,
} from '@firmtally/host';
import { withSlashes } from '@firmtally/host/internal';
import { paint, type Context } from '../context.js';
import { EXIT, type ExitCode } from '../exit-code.js';
import { startProgress, type Progress } from '../terminal/progress.js';
import { noticesTo, pathMessage } from '../trouble-text.js';
import { withInterruption } from '../interruption.js';
import type { PlaceOptions } from './options.js';
import type { PlanText } from './render-text.js';

/** Plans, and with `--apply` places. Throws FirmtallyError. */
export async function runPlace(
  options: PlaceOptions,
  manifest: Manifest,
  context: Context,
): Promise<ExitCode> {
  return withInterruption(async (signal) => {
    if (options.apply && !context.quiet) await caution(context);
    const line = startProgress(context);
    try {
      const placement = await openPlacement(options.onto, options.sources, {
        cwd: context.cwd,
        manifests: manifest,
        systems: options.systems ?? undefined,
        loadout: options.loadout,
        repair: options.repair,
        clusterSize: options.cluster ?? undefined,
        signal,
        onProgress: line.show,
        onNotice: noticesTo(context),
      }).catch((error: unknown) => {
        throw signal.aborted ? interrupted(options) : error;
      });
      const run = new PlaceRun(placement, options, manifest, context, line);
      return await (options.apply ? run.apply(signal) : run.plan(signal));
    } finally {
      await line.stop();
    }
  });
}

/** Before anything is looked at, so that there is time to think again. */
async function caution(context: Context): Promise<void> {
  const { wrap } = await import('../terminal/wrap.js');
  const lines = CAUTIONS.flatMap((line) => wrap(`Caution: ${line}`, context.columns));
  await context.stderr.write(`${lines.join('\n')}\n`);
}

class PlaceRun {
  readonly #placement: Placement;
  readonly #options: PlaceOptions;
  readonly #manifest: Manifest;
  readonly #context: Context;
  readonly #line: Progress;

  constructor(
    placement: Placement,
    options: PlaceOptions,
    manifest: Manifest,
    context: Context,
    line: Progress,
  ) {
    this.#placement = placement;
    this.#options = options;
    this.#manifest = manifest;
    this.#context = context;
    this.#line = line;
  }

  async plan(signal: AbortSignal): Promise<ExitCode> {
    let outlook: Outlook;
    try {
      outlook = await this.#placement.look({ signal, onProgress: this.#line.show });
    } catch (error) {
      throw signal.aborted ? interrupted(this.#options) : error;
    }
    await this.#line.stop();
    const document = this.#document(outlook, null);
    const text = await this.#text();
    await this.#context.stdout.write(text === null ? jsonText(document) : text.plan(document));
    return isSettled(outlook) ? EXIT.good : EXIT.differs;
  }

  async apply(signal: AbortSignal): Promise<ExitCode> {
    const { stdout } = this.#context;
    const text = await this.#text();
    const told: { planned: PlanDocument | null } = { planned: null };
    const tell = async (words: string): Promise<void> => {
      await this.#line.clear();
      await stdout.write(words);
    };
    let applied: Applied;
    try {
      applied = await this.#placement.apply({
        signal,
        anyway: this.#options.anyway,
        onProgress: this.#line.show,
        onPlan: async (outlook) => {
          told.planned = this.#document(outlook, null);
          if (text !== null) await tell(text.beginning(told.planned));
        },
        onResult: async (result, index) => {
          if (text === null || told.planned === null) return;
          await tell(text.result(told.planned, result.step, rowOf(result), index));
        },
      });
    } catch (error) {
      if (error instanceof PlaceStopped) throw this.#trouble(error);
      if (error instanceof FirmtallyError && error.code === 'root-doubtful') {
        throw new FirmtallyError(
          error.code,
          error.message,
          `${error.remedy ?? ''} If it is right as it is, add --anyway.`,
        );
      }
      throw signal.aborted && told.planned === null ? interrupted(this.#options) : error;
    }
    await this.#line.stop();
    return this.#end(applied, text);
  }

  async #end(applied: Applied, text: PlanText | null): Promise<ExitCode> {
    const { before, leftovers, results, stopped, after } = applied;
    const { stdout, stderr } = this.#context;
    if (after !== null) {
      const document = this.#document({ ...after, plan: before.plan }, results.map(rowOf));
      await stdout.write(text === null ? jsonText(document) : text.ending(document));
    }
    const uncleared = leftovers.filter((each) => each.outcome === 'failed');
    for (const { leftover, message } of uncleared) {
      await stderr.write(pathMessage(leftover.path, message));
    }
    if (stopped !== null) throw this.#trouble(stopped);
    const failed = results.some(({ outcome }) => outcome !== 'done') || uncleared.length > 0;
    if (failed) return EXIT.trouble;
    return after !== null && noneNotReady(after.systems) ? EXIT.good : EXIT.differs;
  }

  #document(outlook: Outlook, result: readonly ResultRow[] | null): PlanDocument {
    return planDocument({ ...outlook, onto: withSlashes(this.#options.onto), result });
  }

  /** Null for JSON. */
  async #text(): Promise<PlanText | null> {
    if (this.#options.format === 'json') return null;
    const { PlanText } = await import('./render-text.js');
    const { columns, ascii } = this.#context;
    return new PlanText(
      { manifest: this.#manifest, selection: this.#placement.selection },
      { columns, ascii, paint: (style, text) => paint(this.#context, style, text) },
    );
  }

  #trouble(stopped: PlaceStopped): FirmtallyError {
    const message = `${this.#options.onto}: ${stopped.message}`;
    return new FirmtallyError('place-failed', message, REMEDY[stopped.code], { cause: stopped });
  }
}

function interrupted({ onto }: PlaceOptions): FirmtallyError {
  return new FirmtallyError('place-failed', `${onto}: Interrupted; nothing was written.`);
}

function rowOf({ step, ...outcome }: StepResult): ResultRow {
  return { to: step.to, ...outcome };
}

const REMEDY: Readonly<Record<StopCode, string>> = {
  'no-space': 'Make room on the card and run the same command again: it goes on where it stopped.',
  'read-only': 'Then run the same command again.',
  'card-gone': 'Put the card in again and run the same command: it goes on where it stopped.',
  interrupted: 'Nothing is half-done; run the same command again to go on.',
};
