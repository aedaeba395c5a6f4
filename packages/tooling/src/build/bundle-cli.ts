import { build, type Metafile, type Plugin } from 'esbuild';
import { inWorkspace } from '../paths.js';
import { lazyBuiltins } from './lazy-builtins.js';
import { lazyStringWidth } from './lazy-string-width.js';
import { yamlForBrowsers } from './yaml-for-browsers.js';

/** Rarely wanted and large: 230 kB of WebAssembly that native digests make unnecessary. */
const HASHERS = 'hash-wasm-hashers';

/** Leaves these modules in files of their own, loaded with the first `import()` of them. */
const apart: Plugin = {
  name: 'apart',
  setup(build) {
    build.onResolve({ filter: new RegExp(`^\\./(?:main|${HASHERS})\\.js$`) }, ({ path }) => ({
      path,
      external: true,
    }));
  },
};

/** Modules are strict by themselves; this is so only where it says so first. */
const PROLOGUE = `'use strict';const importMetaUrl=require('node:url').pathToFileURL(__filename).href;`;

/** Bundles the command as CommonJS, which Node loads quicker than modules. */
export async function bundleCli(outdir: string): Promise<Metafile['outputs']> {
  const { metafile } = await build({
    absWorkingDir: inWorkspace(''),
    metafile: true,
    outdir,
    bundle: true,
    format: 'cjs',
    platform: 'node',
    target: 'node20.19',
    minify: true,
    plugins: [lazyBuiltins, lazyStringWidth, yamlForBrowsers, apart],
    // Each becomes a `require`; what is in the same file runs when it is first wanted.
    supported: { 'dynamic-import': false },
    define: { 'import.meta.url': 'importMetaUrl', 'import.meta.dirname': '__dirname' },
    banner: { js: PROLOGUE },
    tsconfig: inWorkspace('tsconfig.base.json'),
    entryPoints: {
      firmtally: inWorkspace('packages/cli/src/firmtally.ts'),
      main: inWorkspace('packages/cli/src/main.ts'),
      'digest-worker': inWorkspace('packages/host/src/digest/digest-worker.ts'),
      [HASHERS]: inWorkspace(`packages/core/src/digest/${HASHERS}.ts`),
    },
  });
  return metafile.outputs;
}
