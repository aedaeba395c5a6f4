import { createRequire } from 'node:module';
import { join } from 'node:path';
import type { Plugin } from 'esbuild';
import { inWorkspace } from '../paths.js';

/**
 * Compiling string-width's emoji pattern costs some 15 ms of every start, and
 * yargs, cli-table3 and our own tables each bring a copy. One copy serves all,
 * and is set up only when a text is more than printable ASCII, box drawing and
 * SGR colour, for which the width is the length.
 */
export const lazyStringWidth: Plugin = {
  name: 'lazy-string-width',
  setup(build) {
    const real = createRequire(join(inWorkspace('packages/cli'), 'package.json')).resolve(
      'string-width',
    );
    build.onResolve({ filter: /^string-width$/ }, ({ namespace }) =>
      namespace === 'lazy-string-width'
        ? { path: real }
        : { path: 'string-width', namespace: 'lazy-string-width' },
    );
    build.onLoad({ filter: /.*/, namespace: 'lazy-string-width' }, () => ({
      contents: LAZY,
      resolveDir: inWorkspace('packages/cli'),
    }));
  },
};

const LAZY = String.raw`
const COLOUR = /\u001b\[[\d;]*m/g;
const ONE_CELL_EACH = /^[\u0020-\u007e\u2500-\u257f]*$/;
let full;
module.exports = (text, options) => {
  const bare = text.includes('\u001b') ? text.replace(COLOUR, '') : text;
  if (ONE_CELL_EACH.test(bare)) return bare.length;
  full ??= require('string-width').default;
  return full(text, options);
};
`;
