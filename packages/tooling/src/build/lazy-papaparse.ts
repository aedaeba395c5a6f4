import type { Plugin } from 'esbuild';

const NAMESPACE = 'lazy-papaparse';

/** Sets Papa Parse up when a table is first read: only `draft --list` does, and every command would wait for it. */
export const lazyPapaparse: Plugin = {
  name: NAMESPACE,
  setup(build) {
    build.onResolve({ filter: /^papaparse$/ }, ({ path, namespace, resolveDir }) =>
      namespace === NAMESPACE ? null : { path, namespace: NAMESPACE, pluginData: resolveDir },
    );
    build.onLoad({ filter: /./, namespace: NAMESPACE }, ({ path, pluginData }) => ({
      contents: `exports.parse = (...args) => require(${JSON.stringify(path)}).parse(...args);`,
      resolveDir: pluginData as string,
    }));
  },
};
