import { ReadError, type Fault } from '../bytes/source.js';
import { compareUtf8 } from '../text/order.js';

/** Collects faults; the same path and code is kept once, however many entries met it. */
export class FaultLog {
  readonly #faults = new Map<string, Fault>();

  constructor(faults: readonly Fault[] = []) {
    for (const fault of faults) this.add(fault);
  }

  add(fault: Fault): void {
    const key = `${fault.code}\0${fault.path}`;
    if (!this.#faults.has(key)) this.#faults.set(key, fault);
  }

  /** Notes a {@link ReadError} and gives it back as a fault; anything else is a defect and is thrown on. */
  note(path: string, error: unknown): Fault {
    if (!(error instanceof ReadError)) throw error;
    const fault: Fault = { path, code: error.code, message: error.message };
    this.add(fault);
    return fault;
  }

  /** In UTF-8 order of path, then code. */
  sorted(): Fault[] {
    return [...this.#faults.values()].sort(
      (a, b) => compareUtf8(a.path, b.path) || compareUtf8(a.code, b.code),
    );
  }
}
