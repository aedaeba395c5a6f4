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
    await new Promise((resolve) => {
      setTimeout(resolve, 0);
    });
    this.#start = Date.now();
  }
}
