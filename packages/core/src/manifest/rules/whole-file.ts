import type { Rule } from '../problem.js';

export const tooLarge: Rule = {
  id: 'too-large',
  severity: 'error',
  description: 'A manifest file is at most 4 MiB.',
};

export const notUtf8: Rule = {
  id: 'not-utf8',
  severity: 'error',
  description: 'A manifest is UTF-8 text.',
};

export const controlCharacter: Rule = {
  id: 'control-character',
  severity: 'error',
  description: 'A manifest holds no control characters but tabs and line breaks.',
};

export const emptyManifest: Rule = {
  id: 'empty-manifest',
  severity: 'error',
  description: 'A manifest file says something.',
};

export const notAManifest: Rule = {
  id: 'not-a-manifest',
  severity: 'error',
  description: 'The file is a manifest, and no other document.',
};

export const postedList: Rule = {
  id: 'posted-list',
  severity: 'error',
  description: 'The file is a manifest, not a list of names and checksums.',
};

export const severalDocuments: Rule = {
  id: 'several-documents',
  severity: 'error',
  description: 'A manifest file holds one YAML document.',
};
