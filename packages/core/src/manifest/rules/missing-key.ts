import type { Rule } from './rule.js';

export const missingKey: Rule = {
  id: 'missing-key',
  severity: 'error',
  description: 'Every key a map needs is there.',
};
