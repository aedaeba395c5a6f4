/**
 * Builds what is published: core and host with tsc, the CLI as one bundle that loads quickly.
 *
 *   tsx packages/tooling/src/build.ts
 */
import { execFileSync } from 'node:child_process';
import { chmod, cp, mkdir, readdir, rm, writeFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { bundleCli } from './build/bundle-cli.js';
import { bundlePage } from './build/bundle-page.js';
import { removeOrphans } from './build/remove-orphans.js';
import { workerModule, workerSource } from './build/worker-source.js';
import { packagesInBundle, packagesInGenerated } from './licences/bundled-packages.js';
import { noticesText } from './licences/notices.js';
import { inWorkspace } from './paths.js';

const tsc = createRequire(import.meta.url).resolve('typescript/bin/tsc');
execFileSync(process.execPath, [tsc, '-b', inWorkspace('tsconfig.json')], { stdio: 'inherit' });

for (const name of ['core', 'host']) {
  await removeOrphans(inWorkspace(`packages/${name}/dist`), inWorkspace(`packages/${name}/src`));
}

const outdir = inWorkspace('packages/cli/dist/bundle');
const worker = await workerSource();
const host = inWorkspace('packages/host/dist');
await writeFile(join(host, 'digest/worker-source.js'), workerModule(worker.text));
await rm(join(host, 'digest/worker-source.js.map'), { force: true }); // of what tsc wrote there
const outputs = await bundleCli(outdir, worker.text);
await writeFile(join(outdir, 'package.json'), '{ "type": "commonjs" }\n');

// Files of an earlier build go only now, so that a command that is running keeps its own until here.
const built = new Set(Object.keys(outputs).map((path) => inWorkspace(path)));
for (const entry of await readdir(outdir, { recursive: true, withFileTypes: true })) {
  const path = join(entry.parentPath, entry.name);
  if (entry.isFile() && /\.js(?:\.map)?$/u.test(entry.name) && !built.has(path)) await rm(path);
}
await chmod(`${outdir}/firmtally.js`, 0o755);

await cp(inWorkspace('data-schemas'), inWorkspace('packages/core/dist/schemas'), {
  recursive: true,
});

const generated = packagesInGenerated();
await writeFile(
  inWorkspace('packages/core/dist/THIRD-PARTY-NOTICES.txt'),
  noticesText(generated, true),
);
await writeFile(
  `${host}/THIRD-PARTY-NOTICES.txt`,
  noticesText(packagesInBundle(worker.outputs), false),
);
await writeFile(
  `${outdir}/THIRD-PARTY-NOTICES.txt`,
  noticesText([...packagesInBundle(outputs), ...generated], true),
);

const page = await bundlePage();
const pageFolder = inWorkspace('packages/page/dist');
await mkdir(pageFolder, { recursive: true });
await writeFile(join(pageFolder, 'firmtally.html'), page.html);
await writeFile(
  join(pageFolder, 'THIRD-PARTY-NOTICES.txt'),
  noticesText([...packagesInBundle(page.outputs), ...generated], true),
);
