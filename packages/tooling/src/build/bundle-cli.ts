import { build, type BuildOptions, type Metafile, type Plugin } from 'esbuild';
import { inWorkspace } from '../paths.js';
import { lazyBuiltins } from './lazy-builtins.js';
import { lazyPapaparse } from './lazy-papaparse.js';
import { lazyStringWidth } from './lazy-string-width.js';
import { withWorkerSource } from './worker-source.js';
import { yamlForBrowsers } from './yaml-for-browsers.js';

/** Rarely wanted and large: 230 kB of WebAssembly, which native digests make unnecessary on this thread. */
const HASHERS = 'hash-wasm-hashers';

/** The script of worker threads, which contains them too. */
const WORKER = 'worker-source';

/** Leaves these modules in files of their own, loaded with the first `import()` of them. */
const apart: Plugin = {
  name: 'apart',
  setup(build) {
    build.onResolve(
      { filter: new RegExp(`^\\./(?:main|${HASHERS}|${WORKER})\\.js$`) },
      ({ path }) => ({
        path,
        external: true,
      }),
    );
  },
};

/** Modules are strict by themselves; this is so only where it says so first. */
const PROLOGUE = `'use strict';const importMetaUrl=require('node:url').pathToFileURL(__filename).href;`;

/** CommonJS, which Node loads quicker than modules, and takes into an executable. */
function options(outdir: string, worker: string) {
  return {
    absWorkingDir: inWorkspace(''),
    metafile: true,
    outdir,
    bundle: true,
    format: 'cjs',
    platform: 'node',
    target: 'node20.19',
    minify: true,
    plugins: [
      lazyBuiltins,
      lazyPapaparse,
      lazyStringWidth,
      yamlForBrowsers,
      withWorkerSource(worker),
    ],
    // Each becomes a `require`; what is in the same file runs when it is first wanted.
    supported: { 'dynamic-import': false },
    define: { 'import.meta.url': 'importMetaUrl', 'import.meta.dirname': '__dirname' },
    banner: { js: PROLOGUE },
    tsconfig: inWorkspace('tsconfig.base.json'),
  } satisfies BuildOptions;
}

const FIRMTALLY = inWorkspace('packages/cli/src/firmtally.ts');

/**
 * Bundles the command as npm has it.
 *
 * @param worker script of the worker threads
 */
export async function bundleCli(outdir: string, worker: string): Promise<Metafile['outputs']> {
  const common = options(outdir, worker);
  const { metafile } = await build({
    ...common,
    plugins: [...common.plugins, apart],
    sourcemap: 'linked',
    entryPoints: {
      firmtally: FIRMTALLY,
      main: inWorkspace('packages/cli/src/main.ts'),
      [HASHERS]: inWorkspace(`packages/core/src/digest/${HASHERS}.ts`),
      [WORKER]: inWorkspace(`packages/host/src/digest/${WORKER}.ts`),
    },
  });
  return metafile.outputs;
}

/** Bundles all of it as the one file `firmtally.js`, which requires nothing but Node's own modules. */
export async function bundleWhole(outdir: string, worker: string): Promise<Metafile['outputs']> {
  const { metafile } = await build({
    ...options(outdir, worker),
    entryPoints: { firmtally: FIRMTALLY },
  });
  return metafile.outputs;
}
