import type { Rule } from './rule.js';

export const controlCharacter: Rule = {
  id: 'control-character',
  severity: 'error',
  description: 'A manifest holds no control characters but tabs and line breaks.',
};
