import type { Rule } from './rule.js';

export const keyNotText: Rule = {
  id: 'key-not-text',
  severity: 'error',
  description: 'Keys are plain text.',
};
