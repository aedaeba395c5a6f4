import type { RemedyStep } from '../diagnosis.js';
import { restored, type Detector } from '../subject.js';
import { deinterleave, interleave } from '../transforms/interleave.js';
import { proveRearranged } from './same-size.js';

interface Arrangement {
  readonly remedy: RemedyStep;
  readonly undo: (bytes: Uint8Array) => Uint8Array;
  readonly detail: string;
}

const ARRANGEMENTS: readonly Arrangement[] = [
  {
    remedy: { kind: 'deinterleave' },
    undo: (bytes) => deinterleave(bytes, false),
    detail: 'The two halves of the dump are mixed, byte by byte.',
  },
  {
    remedy: { kind: 'interleave' },
    undo: (bytes) => interleave(bytes, false),
    detail: 'The even and the odd bytes of the dump stand in separate halves.',
  },
  {
    remedy: { kind: 'deinterleave', oddFirst: true },
    undo: (bytes) => deinterleave(bytes, true),
    detail: 'The two halves of the dump are mixed, byte by byte, the second half first.',
  },
  {
    remedy: { kind: 'interleave', oddFirst: true },
    undo: (bytes) => interleave(bytes, true),
    detail: 'The odd and the even bytes of the dump stand in separate halves, the odd ones first.',
  },
];

export const halvesInterleaved: Detector = {
  name: 'halves-interleaved',
  description:
    'The halves of the dump are mixed byte by byte, or its even and odd bytes stand apart, as with dumps of paired chips.',
  detect: async (subject) => {
    if (subject.size % 2 !== 0) return null;
    for (const { remedy, undo, detail } of ARRANGEMENTS) {
      const dump = await proveRearranged(subject, undo);
      if (dump !== null) return restored(subject, 'halves-interleaved', dump, remedy, detail);
    }
    return null;
  },
};
