import { fact } from '../../facts/fact.js';
import { restored, type DamageDetector } from '../subject.js';
import { swapBytes, swapHalves } from '../transforms/swap.js';
import { proveRearranged } from './same-size.js';

export const wordSwapped: DamageDetector = {
  name: 'word-swapped',
  description: 'The four bytes of every 32-bit word are reversed, or its 16-bit halves exchanged.',
  detect: async (subject) => {
    if (subject.size % 4 !== 0) return null;
    const reversed = await proveRearranged(subject, (bytes) => swapBytes(bytes, 4));
    if (reversed !== null) {
      return restored(
        subject,
        'word-swapped',
        reversed,
        { kind: 'swap', unit: 4 },
        fact('swapped', { order: 'words' }),
      );
    }
    const exchanged = await proveRearranged(subject, swapHalves);
    if (exchanged === null) return null;
    return restored(
      subject,
      'word-swapped',
      exchanged,
      { kind: 'swap-halves' },
      fact('swapped', { order: 'halves' }),
    );
  },
};
