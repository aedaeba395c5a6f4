import { escapeText, type TaskProgress } from '@firmtally/core';
import type { Context } from '../context.js';
import { byteCount } from './byte-count.js';

/** Work shorter than this shows no progress at all, in ms. */
const PATIENCE = 500;

/** Time between two drawings, in ms. */
const INTERVAL = 100;

/** Erase to the end of the line (ECMA-48 EL). */
const ERASE = '\u001b[K';

/** One line on stderr that tells how far the work is. */
export interface Progress {
  /** How far the task is. */
  show(progress: TaskProgress): void;
  /** So many more bytes are done; negative when some must be done again. */
  advance(bytes: number): void;
  /** What is being worked on. Untrusted: it is escaped and cut here. */
  at(name: string): void;
  /** Takes the line away before something else is printed; it comes back by itself. */
  clear(): Promise<void>;
  /** Takes the line away for good. */
  stop(): Promise<void>;
}

export interface ProgressOptions {
  /** Bytes of the whole work, when known. */
  readonly totalBytes?: number;
}

/** Starts a progress line. It draws nothing when stderr is no terminal, with `--quiet`, or for short work. */
export function startProgress(context: Context, options: ProgressOptions = {}): Progress {
  if (!context.interactive || context.quiet) return SILENT;
  return new ProgressLine(context, options.totalBytes ?? null);
}

const SILENT: Progress = {
  show: () => undefined,
  advance: () => undefined,
  at: () => undefined,
  clear: () => Promise.resolve(),
  stop: () => Promise.resolve(),
};

class ProgressLine implements Progress {
  readonly #context: Context;
  #total: number | null;
  readonly #started = process.uptime();
  readonly #timer: NodeJS.Timeout;
  #done = 0;
  #name = '';
  #drawn = false;
  #drawing: Promise<void> | null = null;

  constructor(context: Context, total: number | null) {
    this.#context = context;
    this.#total = total;
    this.#timer = setInterval(() => this.#tick(), INTERVAL);
    this.#timer.unref();
  }

  show({ bytes, totalBytes, path }: TaskProgress): void {
    this.#done = bytes;
    this.#total = totalBytes;
    this.#name = path ?? '';
  }

  advance(bytes: number): void {
    this.#done += bytes;
  }

  at(name: string): void {
    this.#name = name;
  }

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
    if (this.#drawing !== null || 1000 * (process.uptime() - this.#started) < PATIENCE) return;
    this.#drawing = this.#draw()
      // A progress line that cannot be drawn is no reason to stop the work.
      .catch(() => undefined)
      .finally(() => (this.#drawing = null));
  }

  async #draw(): Promise<void> {
    // Loaded only when a line is drawn: most runs are over before.
    const { cutStart } = await import('./cut.js');
    const count = this.#count();
    // The last cell stays free: some terminals wrap when it is filled.
    const room = this.#width() - 1 - count.length - 2;
    const name = cutStart(escapeText(this.#name), room, this.#context.ascii);
    const line = name === '' ? count.slice(0, this.#width() - 1) : `${count}  ${name}`;
    this.#drawn = true;
    await this.#context.stderr.write(`\r${line}${ERASE}`);
  }

  #count(): string {
    if (this.#total === null || this.#total === 0) return byteCount(this.#done);
    const done = Math.min(this.#done, this.#total);
    const percent = Math.floor((done / this.#total) * 100);
    return `${byteCount(done)} of ${byteCount(this.#total)} (${percent}%)`;
  }

  /** stdout's width may be that of a pipe; the line is on stderr. */
  #width(): number {
    const { isTTY, columns } = process.stderr;
    return isTTY && columns > 0 ? columns : this.#context.columns;
  }
}
