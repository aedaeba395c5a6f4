import type { Rule } from './rule.js';

export const emptyManifest: Rule = {
  id: 'empty-manifest',
  severity: 'error',
  description: 'A manifest file says something.',
};
