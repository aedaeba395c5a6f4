/**
 * Builds what is published: core and host with tsc, the CLI as one bundle with lazily loaded chunks.
 *
 *   tsx packages/tooling/src/build.ts
 */
import { execFileSync } from 'node:child_process';
import { chmod, readdir, rm, writeFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { build } from 'esbuild';
import { lazyStringWidth } from './build/lazy-string-width.js';
import { packagesInBundle, packagesInGenerated } from './licences/bundled-packages.js';
import { noticesText } from './licences/notices.js';
import { inWorkspace } from './paths.js';

const tsc = createRequire(import.meta.url).resolve('typescript/bin/tsc');
execFileSync(process.execPath, [tsc, '-b', inWorkspace('tsconfig.json')], { stdio: 'inherit' });

const outdir = inWorkspace('packages/cli/dist/bundle');
const { metafile } = await build({
  absWorkingDir: inWorkspace(''),
  metafile: true,
  entryPoints: {
    firmtally: inWorkspace('packages/cli/src/firmtally.ts'),
    'digest-worker': inWorkspace('packages/host/src/digest/digest-worker.ts'),
  },
  outdir,
  plugins: [lazyStringWidth],
  bundle: true,
  splitting: true,
  format: 'esm',
  platform: 'node',
  target: 'node20.19',
  minifySyntax: true,
  minifyWhitespace: true,
  chunkNames: 'chunks/[name]-[hash]',
  // yargs and cli-table3 still ask for CommonJS's require.
  banner: {
    js: "import { createRequire as firmtallyRequire } from 'node:module'; const require = firmtallyRequire(import.meta.url);",
  },
  tsconfig: inWorkspace('tsconfig.base.json'),
});

// Chunks of an earlier build go only now, so that a command that is running keeps its own until here.
const built = new Set(Object.keys(metafile.outputs).map((path) => inWorkspace(path)));
for (const entry of await readdir(outdir, { recursive: true, withFileTypes: true })) {
  const path = join(entry.parentPath, entry.name);
  if (entry.isFile() && !built.has(path)) await rm(path);
}
await chmod(`${outdir}/firmtally.js`, 0o755);

const generated = packagesInGenerated();
await writeFile(inWorkspace('packages/core/dist/THIRD-PARTY-NOTICES.txt'), noticesText(generated));
await writeFile(
  `${outdir}/THIRD-PARTY-NOTICES.txt`,
  noticesText([...packagesInBundle(metafile), ...generated]),
);
