import type { Home } from '../shape/homes.js';
import type { ProblemList, Rule } from './rule.js';

/** Reports each pair of entries once, however many layouts they meet in. */
export class PairReporter {
  readonly #rule: Rule;
  readonly #problems: ProblemList;
  readonly #done = new Set<string>();

  constructor(rule: Rule, problems: ProblemList) {
    this.#rule = rule;
    this.#problems = problems;
  }

  /** At the path of the one written later. */
  add(a: Home, b: Home, message: string): void {
    const key = JSON.stringify([a.firmware.id.value, b.firmware.id.value].sort());
    if (this.#done.has(key)) return;
    this.#done.add(key);
    const spotOf = (home: Home): Home['firmware']['id']['spot'] =>
      home.firmware.path?.spot ?? home.firmware.id.spot;
    this.#problems.add(this.#rule, spotOf(a), {
      message,
      related: [{ message: 'the other one is here', spot: spotOf(b) }],
    });
  }
}
