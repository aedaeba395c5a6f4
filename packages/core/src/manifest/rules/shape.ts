import type { Rule } from '../problem.js';

export const wrongVersion: Rule = {
  id: 'wrong-version',
  severity: 'error',
  description: 'A manifest says firmtally: 1.',
};

export const missingKey: Rule = {
  id: 'missing-key',
  severity: 'error',
  description: 'Every key a map needs is there.',
};

export const unknownKey: Rule = {
  id: 'unknown-key',
  severity: 'error',
  description: 'Maps hold only the keys the format knows.',
};

export const wrongType: Rule = {
  id: 'wrong-type',
  severity: 'error',
  description: 'Each value is of the type its key asks for.',
};

export const wrongValue: Rule = {
  id: 'wrong-value',
  severity: 'error',
  description: 'Each value is one its key allows.',
};

export const emptyList: Rule = {
  id: 'empty-list',
  severity: 'error',
  description: 'A list that offers a choice has something in it.',
};

export const badId: Rule = {
  id: 'bad-id',
  severity: 'error',
  description:
    'An id starts with a letter or digit and goes on with letters, digits and . _ + -, at most 100 in all.',
};
