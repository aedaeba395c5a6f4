/** Ctrl-C, and what a service manager or a closing terminal sends. */
const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;

/**
 * Runs work that ends cleanly when the person interrupts it: the first signal
 * aborts, so that the work can clear up; a second one ends the process as ever.
 */
export async function withInterruption<T>(work: (signal: AbortSignal) => Promise<T>): Promise<T> {
  const controller = new AbortController();
  const abort = (): void => controller.abort();
  for (const name of SIGNALS) process.once(name, abort);
  try {
    return await work(controller.signal);
  } finally {
    for (const name of SIGNALS) process.removeListener(name, abort);
  }
}
