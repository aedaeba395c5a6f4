import { createRequire } from 'node:module';
import { join } from 'node:path';
import type { Plugin } from 'esbuild';
import { inWorkspace } from '../paths.js';

/**
 * Compiling string-width's emoji pattern costs some 15 ms of every start, and
 * yargs, cli-table3 and our own tables each bring a copy. One copy serves all,
 * and is set up only when a text holds more than characters of one cell each.
 */
export const lazyStringWidth: Plugin = {
  name: 'lazy-string-width',
  setup(build) {
    const lazy = inWorkspace('packages/tooling/src/build/lazy-string-width.cjs');
    const real = createRequire(join(inWorkspace('packages/cli'), 'package.json')).resolve(
      'string-width',
    );
    build.onResolve({ filter: /^string-width$/ }, ({ importer }) => ({
      path: importer === lazy ? real : lazy,
    }));
  },
};
