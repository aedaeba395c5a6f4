import type { Rule } from './rule.js';

export const notUtf8: Rule = {
  id: 'not-utf8',
  severity: 'error',
  description: 'A manifest is UTF-8 text.',
};
