import { basename } from 'node:path';
import { build, type BuildOptions, type Metafile, type Plugin } from 'esbuild';
import { inWorkspace } from '../paths.js';
import { directImports } from './direct-imports.js';
import { lazyBuiltins } from './lazy-builtins.js';
import { lazyPapaparse } from './lazy-papaparse.js';
import { lazyStringWidth } from './lazy-string-width.js';
import { withWorkerSource } from './worker-source.js';
import { yamlForBrowsers } from './yaml-for-browsers.js';

/**
 * Files of our own that are bundled apart and loaded when they are first
 * wanted, as every start reads and parses what is in main.js.
 */
const OWN_APART: Readonly<Record<string, string>> = {
  // First of all, so that Node's compile cache is on when it is loaded.
  main: 'packages/cli/src/main.ts',
  // WebAssembly, which native digests make unnecessary on this thread.
  'hash-wasm-hashers': 'packages/core/src/digest/hash-wasm-hashers.ts',
  // The script of worker threads, which contains them too.
  'worker-source': 'packages/host/src/digest/worker-source.ts',
  // For --since.
  'validate-report': 'packages/core/src/generated/validate-report.ts',
  'schema-texts': 'packages/core/src/generated/schema-texts.ts',
};

/** Packages likewise, and who depends on them. */
const PACKAGES_APART: Readonly<Record<string, string>> = {
  tinyglobby: 'packages/cli',
  // For manifests that are not JSON, and for draft.
  yaml: 'packages/core',
  yargs: 'packages/cli',
  yazl: 'packages/host',
};

const apart: Plugin = {
  name: 'apart',
  setup(build) {
    const own = Object.keys(OWN_APART).join('|');
    build.onResolve({ filter: new RegExp(`^\\.{1,2}/(?:.*/)?(?:${own})\\.js$`) }, ({ path }) => ({
      path: `./${basename(path)}`,
      external: true,
    }));
    const packages = Object.keys(PACKAGES_APART).join('|');
    build.onResolve({ filter: new RegExp(`^(?:${packages})$`) }, ({ path, kind }) =>
      kind === 'entry-point'
        ? build.resolve(path, {
            kind: 'import-statement',
            resolveDir: inWorkspace(PACKAGES_APART[path] ?? ''),
            pluginData: ENTRY,
          })
        : null,
    );
    build.onResolve({ filter: new RegExp(`^(?:${packages})$`) }, ({ path, pluginData }) =>
      pluginData === ENTRY ? null : { path: `./${path}.js`, external: true },
    );
  },
};

/** Marks the look-up of a package that is to be bundled, not left out. */
const ENTRY = Symbol('entry');

/** Modules are strict by themselves; this is so only where it says so first. */
const PROLOGUE = `'use strict';const importMetaUrl=require('node:url').pathToFileURL(__filename).href;`;

/** A module says by an export of this name what `require` of it is to give (Node's documentation, "require(esm)"); yargs does. */
const EPILOGUE = `if('module.exports'in module.exports)module.exports=module.exports['module.exports'];`;

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
      directImports,
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
    plugins: [apart, ...common.plugins],
    sourcemap: 'linked',
    footer: { js: EPILOGUE },
    entryPoints: {
      firmtally: FIRMTALLY,
      ...Object.fromEntries(
        Object.entries(OWN_APART).map(([name, path]) => [name, inWorkspace(path)]),
      ),
      ...Object.fromEntries(Object.keys(PACKAGES_APART).map((name) => [name, name])),
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
