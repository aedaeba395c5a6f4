import type { Rule } from './rule.js';

export const badId: Rule = {
  id: 'bad-id',
  severity: 'error',
  description:
    'An id starts with a letter or digit and goes on with letters, digits and . _ + -, at most 100 in all.',
};
