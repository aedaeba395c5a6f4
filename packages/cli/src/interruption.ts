import { writeSync } from 'node:fs';
import type { Context } from './context.js';
import { EXIT } from './exit-code.js';

/** Ctrl-C, and what a service manager or a closing terminal sends. */
const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;

/** Whether a command sees to being interrupted by itself. */
let seenTo = false;

/**
 * Ends the process at the first signal, with a word about what was written:
 * a command that only reads has nothing to clear up.
 */
export function endWhenInterrupted(context: Context): void {
  for (const name of SIGNALS) {
    process.once(name, () => {
      if (seenTo) return;
      const wrote = context.stdout.begun ? 'what was printed is not whole' : 'nothing was written';
      const line = context.interactive ? '\r\u001b[K' : '';
      try {
        writeSync(2, `${line}firmtally: Interrupted; ${wrote}.\n`);
      } catch {
        // The terminal is gone, which may be why.
      }
      process.exit(EXIT.trouble);
    });
  }
}

/**
 * Runs work that ends cleanly when the person interrupts it: the first signal
 * aborts, so that the work can clear up; a second one ends the process as ever.
 */
export async function withInterruption<T>(work: (signal: AbortSignal) => Promise<T>): Promise<T> {
  const controller = new AbortController();
  const abort = (): void => controller.abort();
  seenTo = true;
  for (const name of SIGNALS) process.once(name, abort);
  try {
    return await work(controller.signal);
  } finally {
    seenTo = false;
    for (const name of SIGNALS) process.removeListener(name, abort);
  }
}
