import { count } from '../text/count.js';
import type { Comparison } from './model.js';

/** What changed since an earlier report, worded. Texts are untrusted still. */
export interface SinceView {
  /** What to do before all else, as bytes changed that nobody meant to change; null when none did. */
  readonly advice: string | null;
  /** One line for each file that changed so. */
  readonly silently: readonly string[];
  /** One line for each other change, worst first; the last says how much is unchanged. */
  readonly changes: readonly string[];
}

/** Words a comparison. */
export function sinceOf(since: Comparison): SinceView {
  const changed = (label: string, changes: Comparison['newlyWrong']): string[] =>
    changes.map(({ firmware, before, now }) => `${label}: ${firmware} (${before} -> ${now})`);
  const openly = since.changedBytes.filter((change) => !change.silently);
  return {
    advice: since.advice?.text ?? null,
    silently: since.changedBytes
      .filter((change) => change.silently)
      .map(
        ({ firmware, path }) =>
          `changed silently: ${firmware} (${path}): other bytes, though its size is the same and its time is not later than the report's; the card may be failing`,
      ),
    changes: [
      ...changed('newly wrong', since.newlyWrong),
      ...changed('newly right', since.newlyRight),
      ...changed('otherwise', since.otherwise),
      ...openly.map(
        ({ firmware, path, sizeBefore, size }) =>
          `other bytes: ${firmware} (${path})${
            sizeBefore === size ? '' : `: ${String(sizeBefore)} -> ${count(size, 'byte')}`
          }`,
      ),
      ...since.systems.map(({ system, before, now }) => `system ${system}: ${before} -> ${now}`),
      ...since.appeared.map((id) => `not in the earlier report: ${id}`),
      ...since.gone.map((id) => `only in the earlier report: ${id}`),
      `unchanged: ${String(since.unchanged)} firmware`,
    ],
  };
}
