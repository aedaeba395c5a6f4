import { fact } from '../../facts/fact.js';
import type { Fact } from '../../facts/fact-values.js';
import { restored, type DamageDetector } from '../subject.js';
import { trailingRunStart } from '../transforms/equal.js';

export const padded: DamageDetector = {
  name: 'padded',
  description: 'A fill, most often of 00 or FF, or other bytes follow the dump.',
  detect: async (subject) => {
    const sizes = subject.prover.sizes.filter((size) => size > 0 && size < subject.size);
    if (sizes.length === 0 && !subject.prover.anySize) return null;
    const bytes = await subject.whole();
    if (bytes === null || bytes.length === 0) return null;
    const runStart = trailingRunStart(bytes);
    const lengths = new Set(sizes.reverse());
    if (subject.prover.anySize) {
      for (const length of possibleLengths(runStart, bytes.length)) lengths.add(length);
    }
    for (const length of lengths) {
      const dump = await subject.prover.prove(bytes.subarray(0, length));
      if (dump !== null) {
        return restored(
          subject,
          'padded',
          dump,
          { kind: 'slice', start: 0, end: length },
          describe(bytes, length, runStart),
        );
      }
    }
    return null;
  },
};

/**
 * Where a dump of unknown size may end: where the trailing run begins, or, as
 * the dump may itself end with the fill byte, at the next multiple of each
 * power of two (memory chips have such sizes: common practice, no source).
 */
function possibleLengths(runStart: number, size: number): number[] {
  const lengths: number[] = [];
  if (runStart > 0 && runStart < size) lengths.push(runStart);
  for (let unit = 2; unit < size; unit *= 2) {
    const length = Math.max(1, Math.ceil(runStart / unit)) * unit;
    if (length < size) lengths.push(length);
  }
  return lengths;
}

function describe(bytes: Uint8Array, length: number, runStart: number): Fact {
  const extra = bytes.length - length;
  if (runStart > length) return fact('bytes-after', { bytes: extra });
  const fill = (bytes[length] ?? 0).toString(16).toUpperCase().padStart(2, '0');
  return fact('padding', { bytes: extra, fill });
}
