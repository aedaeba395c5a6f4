import type { Rule } from './rule.js';

export const notAManifest: Rule = {
  id: 'not-a-manifest',
  severity: 'error',
  description: 'The file is a manifest, and no other document.',
};
