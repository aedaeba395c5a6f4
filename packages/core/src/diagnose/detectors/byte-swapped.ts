import { fact } from '../../facts/fact.js';
import { restored, type DamageDetector } from '../subject.js';
import { swapBytes } from '../transforms/swap.js';
import { proveRearranged } from './same-size.js';

export const byteSwapped: DamageDetector = {
  name: 'byte-swapped',
  description: 'The two bytes of every 16-bit word are exchanged.',
  detect: async (subject) => {
    const dump = await proveRearranged(subject, (bytes) => swapBytes(bytes, 2));
    if (dump === null) return null;
    return restored(
      subject,
      'byte-swapped',
      dump,
      { kind: 'swap', unit: 2 },
      fact('swapped', { order: 'pairs' }),
    );
  },
};
