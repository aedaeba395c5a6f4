import { fact } from '../../facts/fact.js';
import { evident, type Detector } from '../subject.js';

export const empty: Detector = {
  name: 'empty',
  description: 'The file has no bytes at all.',
  detect: (subject) =>
    Promise.resolve(subject.size === 0 ? evident('empty', fact('empty', {})) : null),
};
