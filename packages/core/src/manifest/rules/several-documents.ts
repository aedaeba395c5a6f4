import type { Rule } from './rule.js';

export const severalDocuments: Rule = {
  id: 'several-documents',
  severity: 'error',
  description: 'A manifest file holds one YAML document.',
};
