import type { Rule } from './rule.js';

export const wrongVersion: Rule = {
  id: 'wrong-version',
  severity: 'error',
  description: 'A manifest says firmtally: 1.',
};
