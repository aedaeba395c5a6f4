import { nearestName } from '../../text/nearest.js';
import { MAX_SUGGESTIONS } from '../limits.js';

/** Finds nearest names, and stops looking when that would take long. */
export class Suggester {
  #left = MAX_SUGGESTIONS;

  nearest(written: string, candidates: Iterable<string>): string | null {
    if (this.#left === 0) return null;
    this.#left--;
    return nearestName(written, candidates);
  }
}
