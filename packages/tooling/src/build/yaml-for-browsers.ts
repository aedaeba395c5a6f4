import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import type { Plugin } from 'esbuild';
import { inWorkspace } from '../paths.js';

/**
 * yaml's build for Node asks `process.env` for its debug switches at every
 * token, and is CommonJS, of which nothing can be left out. Its build for
 * browsers, otherwise the same code, does neither.
 */
export const yamlForBrowsers: Plugin = {
  name: 'yaml-for-browsers',
  setup(build) {
    const { resolve } = createRequire(join(inWorkspace('packages/core'), 'package.json'));
    const path = join(dirname(resolve('yaml/package.json')), 'browser/index.js');
    build.onResolve({ filter: /^yaml$/ }, () => ({ path }));
  },
};
