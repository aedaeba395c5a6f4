import type { Rule } from './rule.js';

export const wrongValue: Rule = {
  id: 'wrong-value',
  severity: 'error',
  description: 'Each value is one its key allows.',
};
