import type { Rule } from './rule.js';

export const mergeKey: Rule = {
  id: 'merge-key',
  severity: 'error',
  description: 'Keys are written out; the merge key << of YAML 1.1 is not used.',
};
