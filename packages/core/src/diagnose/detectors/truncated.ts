import { fact } from '../../facts/fact.js';
import { unproven, type Detector } from '../subject.js';

export const truncated: Detector = {
  name: 'truncated',
  description: 'The file is shorter than a dump, and nothing else explains it.',
  detect: (subject) => {
    const { sizes } = subject.prover;
    const { size } = subject;
    const longer = sizes.find((each) => each > size);
    if (longer === undefined || sizes.includes(size)) return Promise.resolve(null);
    return Promise.resolve(unproven('truncated', fact('cut-short', { size, expected: longer })));
  },
};
