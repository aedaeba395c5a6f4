// Bundles the page into a folder that any web server can serve.
//
//   node examples/browser/build.mjs [folder]     default: .demo/browser
import { cpSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

/** @param {string} path */
const here = (path) => fileURLToPath(new URL(path, import.meta.url));

/**
 * Writes index.html and page.js.
 * @param {string} folder
 */
export async function buildPage(folder) {
  mkdirSync(folder, { recursive: true });
  cpSync(here('index.html'), join(folder, 'index.html'));
  await build({
    entryPoints: [here('page.mjs')],
    outfile: join(folder, 'page.js'),
    bundle: true,
    format: 'esm',
    platform: 'browser',
    target: 'es2022',
    minify: true,
    logLevel: 'warning',
  });
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const folder = process.argv[2] ?? here('../../.demo/browser');
  await buildPage(folder);
  console.log(
    `Serve ${folder} with any web server, for example: python3 -m http.server -d ${folder}`,
  );
}
