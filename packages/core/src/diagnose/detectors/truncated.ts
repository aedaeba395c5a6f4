import { countBytes, observed, type Detector } from '../subject.js';

export const truncated: Detector = {
  name: 'truncated',
  description: 'The file is shorter than a dump, and nothing else explains it.',
  detect: (subject) => {
    const { sizes } = subject.prover;
    const longer = sizes.find((size) => size > subject.size);
    if (longer === undefined || sizes.includes(subject.size)) return Promise.resolve(null);
    const detail = `The file has ${subject.size} of ${countBytes(longer)}.`;
    return Promise.resolve(observed('truncated', false, detail));
  },
};
