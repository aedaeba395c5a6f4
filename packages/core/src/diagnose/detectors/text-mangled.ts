import { fact } from '../../facts/fact.js';
import { restored, type DamageDetector, type Subject } from '../subject.js';
import { convertedSize, convertNewlines, countNewlines } from '../transforms/newlines.js';

const CONVERSIONS = [
  { from: 'crlf', said: { from: 'LF', to: 'CR LF' } },
  { from: 'lf', said: { from: 'CR LF', to: 'LF' } },
  { from: 'cr', said: { from: 'LF', to: 'CR' } },
] as const;

export const textMangled: DamageDetector = {
  name: 'text-mangled',
  description: 'Line endings were converted, as by a transfer in text mode.',
  detect: async (subject) => {
    if (!sizesAllow(subject)) return null;
    const bytes = await subject.whole();
    if (bytes === null) return null;
    const counts = countNewlines(bytes);
    for (const { from, said } of CONVERSIONS) {
      if (counts[from] === 0) continue;
      const size = convertedSize(bytes.length, counts, from);
      // The length alone rules most guesses out, before anything is converted.
      if (!subject.prover.fits(size)) continue;
      const dump = await subject.prover.prove(convertNewlines(bytes, from));
      if (dump !== null) {
        const remedy = { kind: 'newlines', from } as const;
        return restored(subject, 'text-mangled', dump, remedy, fact('newlines-changed', said));
      }
    }
    return null;
  },
};

/** Whether a dump can be as long as the original was: half the file when all of it is CR LF, twice when all is LF. */
function sizesAllow({ prover, size }: Subject): boolean {
  return prover.anySize || prover.sizes.some((each) => 2 * each >= size && each <= 2 * size);
}
