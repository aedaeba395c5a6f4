import type { Rule } from './rule.js';

export const duplicateKey: Rule = {
  id: 'duplicate-key',
  severity: 'error',
  description: 'A key stands once in its map.',
};
