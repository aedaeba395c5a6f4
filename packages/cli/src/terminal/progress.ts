import type { OnProgress, TaskProgress } from '@firmtally/core';
import type { Context } from '../context.js';

/** Work shorter than this shows no progress at all, in ms. */
const PATIENCE = 500;

/** Time between two drawings, in ms. */
const INTERVAL = 100;

/** Erase to the end of the line (ECMA-48 EL). */
const ERASE = '\u001b[K';

/** One line on stderr that tells how far the work is. */
export interface Progress {
  /** How far the task is. Bound, so that it can be handed on. */
  readonly show: OnProgress;
  /** Takes the line away before something else is printed; it comes back by itself. */
  clear(): Promise<void>;
  /** Takes the line away for good. */
  stop(): Promise<void>;
}

/** Starts a progress line. It draws nothing when stderr is no terminal, with `--quiet`, or for short work. */
export function startProgress(context: Context): Progress {
  if (!context.interactive || context.quiet) return SILENT;
  return new ProgressLine(context);
}

const SILENT: Progress = {
  show: () => undefined,
  clear: () => Promise.resolve(),
  stop: () => Promise.resolve(),
};

class ProgressLine implements Progress {
  readonly #context: Context;
  readonly #started = process.uptime();
  readonly #timer: NodeJS.Timeout;
  #latest: TaskProgress | null = null;
  #drawn = false;
  #drawing: Promise<void> | null = null;

  constructor(context: Context) {
    this.#context = context;
    this.#timer = setInterval(() => this.#tick(), INTERVAL);
    this.#timer.unref();
  }

  readonly show = (progress: TaskProgress): void => {
    this.#latest = progress;
  };

  async clear(): Promise<void> {
    await this.#drawing;
    if (!this.#drawn) return;
    this.#drawn = false;
    await this.#context.stderr.write(`\r${ERASE}`);
  }

  async stop(): Promise<void> {
    clearInterval(this.#timer);
    await this.clear();
  }

  #tick(): void {
    if (this.#latest === null) return;
    if (this.#drawing !== null || 1000 * (process.uptime() - this.#started) < PATIENCE) return;
    this.#drawing = this.#draw(this.#latest)
      // A progress line that cannot be drawn is no reason to stop the work.
      .catch(() => undefined)
      .finally(() => (this.#drawing = null));
  }

  async #draw(progress: TaskProgress): Promise<void> {
    // Loaded only when a line is drawn: most runs are over before.
    const { progressText } = await import('./progress-text.js');
    // The last cell stays free: some terminals wrap when it is filled.
    const columns = this.#width() - 1;
    this.#drawn = true;
    const line = progressText(progress, { columns, ascii: this.#context.ascii });
    await this.#context.stderr.write(`\r${line}${ERASE}`);
  }

  /** stdout's width may be that of a pipe; the line is on stderr. */
  #width(): number {
    const { isTTY, columns } = process.stderr;
    return isTTY && columns > 0 ? columns : this.#context.columns;
  }
}
