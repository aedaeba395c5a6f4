import type { Rule } from '../problem.js';

export const yamlSyntax: Rule = {
  id: 'yaml-syntax',
  severity: 'error',
  description: 'A manifest is well-formed YAML 1.2 or JSON.',
};

export const tooDeep: Rule = {
  id: 'too-deep',
  severity: 'error',
  description: 'A manifest is not nested deeper than 60 levels.',
};

export const yamlTag: Rule = {
  id: 'yaml-tag',
  severity: 'error',
  description: 'Values carry no YAML tags.',
};

export const mergeKey: Rule = {
  id: 'merge-key',
  severity: 'error',
  description: 'Keys are written out; the merge key << of YAML 1.1 is not used.',
};

export const keyNotText: Rule = {
  id: 'key-not-text',
  severity: 'error',
  description: 'Keys are plain text.',
};

export const duplicateKey: Rule = {
  id: 'duplicate-key',
  severity: 'error',
  description: 'A key stands once in its map.',
};

export const unknownAlias: Rule = {
  id: 'unknown-alias',
  severity: 'error',
  description: 'A YAML alias names an anchor that comes before it and is complete.',
};

export const aliasLimit: Rule = {
  id: 'alias-limit',
  severity: 'error',
  description: 'YAML aliases repeat at most 100000 values in one file.',
};
