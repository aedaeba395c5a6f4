/** Milliseconds of uninterrupted work after which other tasks get a turn. */
const TURN = 40;

/** Lets timers, input and other tasks have their turn in work that itself never waits. */
export class Turns {
  #start = Date.now();

  /** Whether this work has gone on for 40 ms. `performance` takes 2 ms to load in Node; a clock that is set back only makes a turn early. */
  isDue(): boolean {
    return Math.abs(Date.now() - this.#start) > TURN;
  }

  /** Resolves once the others have had theirs. */
  async next(): Promise<void> {
    await new Promise<void>((resolve) => later(resolve));
    this.#start = Date.now();
  }
}

/**
 * Node comes to files, signals and threads only after its timers, and one set by
 * work that takes longer than the 1 ms of a timer is run among these; so there
 * `setImmediate`, which browsers lack.
 */
function later(call: () => void): void {
  const { setImmediate } = globalThis as { setImmediate?: (call: () => void) => unknown };
  if (setImmediate === undefined) setTimeout(call, 0);
  else setImmediate(call);
}
