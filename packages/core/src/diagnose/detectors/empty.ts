import { observed, type Detector } from '../subject.js';

export const empty: Detector = {
  name: 'empty',
  description: 'The file has no bytes at all.',
  detect: (subject) =>
    Promise.resolve(subject.size === 0 ? observed('empty', true, 'The file is empty.') : null),
};
