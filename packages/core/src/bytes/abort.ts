/** What is to be told of each signal. */
const waiting = new WeakMap<AbortSignal, { readonly calls: Set<() => void>; stop(): void }>();

/**
 * Calls `call` once the signal is aborted, at once when it is already. However
 * many wait for one signal, it has one listener: Node warns of more than ten.
 *
 * @returns ends the waiting
 */
export function onAbort(signal: AbortSignal, call: () => void): () => void {
  if (signal.aborted) {
    call();
    return () => undefined;
  }
  const entry = waiting.get(signal) ?? listen(signal);
  // A function of its own, so that the same one may wait twice.
  const own = (): void => call();
  entry.calls.add(own);
  return () => {
    if (entry.calls.delete(own) && entry.calls.size === 0) entry.stop();
  };
}

function listen(signal: AbortSignal): { readonly calls: Set<() => void>; stop(): void } {
  const calls = new Set<() => void>();
  const stop = (): void => {
    waiting.delete(signal);
    signal.removeEventListener('abort', tell);
  };
  const tell = (): void => {
    stop();
    for (const call of calls) call();
  };
  signal.addEventListener('abort', tell);
  const entry = { calls, stop };
  waiting.set(signal, entry);
  return entry;
}

/** Waits for `promise`, but rejects with the signal's reason as soon as it is aborted. */
export function orAborted<T>(promise: Promise<T>, signal: AbortSignal | undefined): Promise<T> {
  if (signal === undefined) return promise;
  return new Promise((resolve, reject) => {
    const end = onAbort(signal, () => reject(signal.reason as Error));
    promise.then(resolve, reject).finally(end);
  });
}

/**
 * The same items, but iterating rejects with the signal's reason as soon as it
 * is aborted, though the source itself may never answer.
 */
export async function* abortable<T>(
  source: AsyncIterable<T>,
  signal: AbortSignal | undefined,
): AsyncGenerator<T, void, undefined> {
  if (signal === undefined) {
    yield* source;
    return;
  }
  const iterator = source[Symbol.asyncIterator]();
  let reject: (reason: Error) => void = () => undefined;
  const end = onAbort(signal, () => reject(signal.reason as Error));
  let running = true;
  try {
    for (;;) {
      signal.throwIfAborted();
      const next = await new Promise<IteratorResult<T>>((resolve, fail) => {
        reject = fail;
        iterator.next().then(resolve, fail);
      });
      if (next.done === true) {
        running = false;
        return;
      }
      yield next.value;
    }
  } finally {
    end();
    if (running) {
      const closed = iterator.return?.();
      // A source that does not answer would not answer this either.
      if (signal.aborted) closed?.catch(() => undefined);
      else await closed;
    }
  }
}
