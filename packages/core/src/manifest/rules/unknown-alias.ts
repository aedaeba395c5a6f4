import type { Rule } from './rule.js';

export const unknownAlias: Rule = {
  id: 'unknown-alias',
  severity: 'error',
  description: 'A YAML alias names an anchor that comes before it and is complete.',
};
