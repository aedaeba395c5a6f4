import { fact } from '../../facts/fact.js';
import { restored, type DamageDetector } from '../subject.js';
import { repeatsEvery, trailingRunStart } from '../transforms/equal.js';

export const doubled: DamageDetector = {
  name: 'doubled',
  description: 'The file is the dump twice (or more often) in a row.',
  detect: async (subject) => {
    const periods = candidatePeriods(subject.size, subject.prover.sizes, subject.prover.anySize);
    if (periods.length === 0) return null;
    const bytes = await subject.whole();
    // One repeated byte is everything at once: that is for the check for padding.
    if (bytes === null || trailingRunStart(bytes) === 0) return null;
    for (const period of periods) {
      if (!repeatsEvery(bytes, period)) continue;
      const dump = await subject.prover.prove(bytes.subarray(0, period));
      if (dump === null) continue;
      return restored(
        subject,
        'doubled',
        dump,
        { kind: 'slice', start: 0, end: period },
        fact('repeated', { times: subject.size / period }),
      );
    }
    return null;
  },
};

/** Lengths the file may be a repetition of: the dumps' sizes, or for a dump without one halves of halves. */
function candidatePeriods(size: number, sizes: readonly number[], anySize: boolean): number[] {
  const periods = new Set<number>();
  for (const each of sizes) if (each > 0 && each < size && size % each === 0) periods.add(each);
  if (anySize)
    for (let half = size / 2; Number.isInteger(half) && half >= 1; half /= 2) periods.add(half);
  return [...periods].sort((a, b) => b - a);
}
