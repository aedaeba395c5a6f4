import { basename } from 'node:path';
import { build, type BuildOptions, type Metafile, type Plugin } from 'esbuild';
import { inWorkspace } from '../paths.js';
import { lazyBuiltins } from './lazy-builtins.js';
import { lazyStringWidth } from './lazy-string-width.js';
import { yamlForBrowsers } from './yaml-for-browsers.js';

/** Rarely wanted and large: 230 kB of WebAssembly that native digests make unnecessary. */
const HASHERS = 'hash-wasm-hashers';

/** Leaves that module in a file of its own, loaded with the first `import()` of it. */
const hashersApart: Plugin = {
  name: 'hashers-apart',
  setup(build) {
    build.onResolve({ filter: new RegExp(`/${HASHERS}\\.js$`) }, () => ({
      path: `./${HASHERS}.js`,
      external: true,
    }));
  },
};

/** Modules are strict by themselves; this is so only where it says so first. */
const PROLOGUE = `'use strict';const importMetaUrl=require('node:url').pathToFileURL(__filename).href;`;

/**
 * Bundles the command as CommonJS: Node loads that quicker than modules, and
 * it can be compiled from a cache (packages/cli/src/launch). All of main.ts is
 * one file, whose name tells its content apart from that of any other version.
 */
export async function bundleCli(outdir: string): Promise<Metafile['outputs']> {
  const common = {
    absWorkingDir: inWorkspace(''),
    metafile: true,
    outdir,
    bundle: true,
    format: 'cjs',
    platform: 'node',
    target: 'node20.19',
    minify: true,
    plugins: [lazyBuiltins, lazyStringWidth, yamlForBrowsers, hashersApart],
    // Each becomes a `require`; what is in the same file runs when it is first wanted.
    supported: { 'dynamic-import': false },
    define: { 'import.meta.url': 'importMetaUrl', 'import.meta.dirname': '__dirname' },
    banner: { js: PROLOGUE },
    tsconfig: inWorkspace('tsconfig.base.json'),
  } satisfies BuildOptions;
  const main = await build({
    ...common,
    entryPoints: { main: inWorkspace('packages/cli/src/main.ts') },
    entryNames: '[name]-[hash]',
    // As Node itself wraps a module: load-main.ts compiles the file as it is.
    banner: { js: `(function(exports,require,module,__filename,__dirname){${PROLOGUE}` },
    footer: { js: '})' },
  });
  const [file = ''] = Object.keys(main.metafile.outputs);
  const others = await build({
    ...common,
    entryPoints: {
      firmtally: inWorkspace('packages/cli/src/firmtally.ts'),
      'digest-worker': inWorkspace('packages/host/src/digest/digest-worker.ts'),
      [HASHERS]: inWorkspace(`packages/core/src/digest/${HASHERS}.ts`),
    },
    define: { ...common.define, MAIN_FILE: JSON.stringify(basename(file)) },
  });
  return { ...main.metafile.outputs, ...others.metafile.outputs };
}
