import type { Rule } from './rule.js';

export const tooDeep: Rule = {
  id: 'too-deep',
  severity: 'error',
  description: 'A manifest is not nested deeper than 60 levels.',
};
