import type { Rule } from './rule.js';

export const wrongType: Rule = {
  id: 'wrong-type',
  severity: 'error',
  description: 'Each value is of the type its key asks for.',
};
