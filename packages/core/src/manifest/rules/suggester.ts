import { nearestName } from '../../text/nearest.js';
import { MAX_NAME_COMPARISONS } from '../limits.js';

/** Finds nearest names, and stops looking when that has taken long: thousands of slips are one slip. */
export class Suggester {
  #left = MAX_NAME_COMPARISONS;

  nearest(
    written: string,
    candidates: ReadonlySet<string> | ReadonlyMap<string, unknown>,
  ): string | null {
    if (this.#left <= 0) return null;
    this.#left -= candidates.size;
    return nearestName(written, candidates.keys());
  }
}
