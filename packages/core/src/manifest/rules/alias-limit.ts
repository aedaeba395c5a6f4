import type { Rule } from './rule.js';

export const aliasLimit: Rule = {
  id: 'alias-limit',
  severity: 'error',
  description: 'YAML aliases repeat at most 100000 values in one file.',
};
