import type { Rule } from './rule.js';

export const emptyList: Rule = {
  id: 'empty-list',
  severity: 'error',
  description: 'A list that offers a choice has something in it.',
};
