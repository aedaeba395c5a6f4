import type { Rule } from './rule.js';

export const tooManyProblems: Rule = {
  id: 'too-many-problems',
  severity: 'error',
  description: 'All problems are listed, up to 10000 errors and 10000 warnings in one run.',
};
