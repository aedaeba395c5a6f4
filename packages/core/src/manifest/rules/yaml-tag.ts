import type { Rule } from './rule.js';

export const yamlTag: Rule = {
  id: 'yaml-tag',
  severity: 'error',
  description: 'Values carry no YAML tags.',
};
