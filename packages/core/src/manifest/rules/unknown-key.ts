import type { Rule } from './rule.js';

export const unknownKey: Rule = {
  id: 'unknown-key',
  severity: 'error',
  description: 'Maps hold only the keys the format knows.',
};
