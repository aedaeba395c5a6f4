import type { Rule } from './rule.js';

export const yamlSyntax: Rule = {
  id: 'yaml-syntax',
  severity: 'error',
  description: 'A manifest is well-formed YAML 1.2 or JSON.',
};
