import type { Rule } from './rule.js';

export const tooLarge: Rule = {
  id: 'too-large',
  severity: 'error',
  description: 'A manifest file is at most 4 MiB.',
};
