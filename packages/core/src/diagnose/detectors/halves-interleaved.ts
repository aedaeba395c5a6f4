import { fact } from '../../facts/fact.js';
import type { FactValues } from '../../facts/fact-values.js';
import type { RemedyStep } from '../diagnosis.js';
import { restored, type DamageDetector } from '../subject.js';
import { deinterleave, interleave } from '../transforms/interleave.js';
import { proveRearranged } from './same-size.js';

interface Arrangement {
  readonly remedy: RemedyStep;
  readonly undo: (bytes: Uint8Array) => Uint8Array;
  readonly said: FactValues['interleaved'];
}

const ARRANGEMENTS: readonly Arrangement[] = [
  {
    remedy: { kind: 'deinterleave' },
    undo: (bytes) => deinterleave(bytes, false),
    said: { as: 'mixed', secondFirst: false },
  },
  {
    remedy: { kind: 'interleave' },
    undo: (bytes) => interleave(bytes, false),
    said: { as: 'parted', secondFirst: false },
  },
  {
    remedy: { kind: 'deinterleave', oddFirst: true },
    undo: (bytes) => deinterleave(bytes, true),
    said: { as: 'mixed', secondFirst: true },
  },
  {
    remedy: { kind: 'interleave', oddFirst: true },
    undo: (bytes) => interleave(bytes, true),
    said: { as: 'parted', secondFirst: true },
  },
];

export const halvesInterleaved: DamageDetector = {
  name: 'halves-interleaved',
  description:
    'The halves of the dump are mixed byte by byte, or its even and odd bytes stand apart, as with dumps of paired chips.',
  detect: async (subject) => {
    if (subject.size % 2 !== 0) return null;
    for (const { remedy, undo, said } of ARRANGEMENTS) {
      const dump = await proveRearranged(subject, undo);
      if (dump === null) continue;
      return restored(subject, 'halves-interleaved', dump, remedy, fact('interleaved', said));
    }
    return null;
  },
};
