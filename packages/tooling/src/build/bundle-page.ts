import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { build, type BuildOptions, type Metafile, type Plugin } from 'esbuild';
import { inWorkspace } from '../paths.js';

const COMMON = {
  absWorkingDir: inWorkspace(''),
  bundle: true,
  format: 'iife',
  platform: 'browser',
  target: 'es2022',
  minify: true,
  metafile: true,
  write: false,
  outdir: 'out',
  legalComments: 'none',
  tsconfig: inWorkspace('tsconfig.base.json'),
} satisfies BuildOptions;

/** One page, whole: HTML, style, script and the worker's script in one text. */
export interface BundledPage {
  readonly html: string;
  readonly outputs: Metafile['outputs'];
}

/**
 * Makes the page self-contained: the script that hashes is text inside the one that
 * does the work, and that inside the page's. Its policy allows the one script by its hash,
 * WebAssembly, and workers made of the page's own text; nothing can be loaded
 * from anywhere, and nothing sent (CSP Level 3).
 */
export async function bundlePage(): Promise<BundledPage> {
  const hashing = await bundled('hash/worker.ts');
  const tasks = await bundled('worker/task-worker.ts', { 'firmtally:hash-worker': hashing });
  const page = await bundled('main.ts', { 'firmtally:task-worker': tasks });
  const script = page.text;
  // HTML Standard, 4.12.1.3: these would end the element, or keep it from ending.
  if (/<\/script|<!--/i.test(script))
    throw new Error('the script cannot stand in a script element');
  const [template, style] = await Promise.all(
    ['page.html', 'page.css'].map((name) =>
      readFile(inWorkspace(`packages/page/src/${name}`), 'utf8'),
    ),
  );
  const hash = createHash('sha256').update(script).digest('base64');
  const policy = [
    "default-src 'none'",
    `script-src 'sha256-${hash}' 'wasm-unsafe-eval'`,
    'worker-src blob:',
    "style-src 'unsafe-inline'",
    'img-src data:',
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');
  const html = fill(template ?? '', {
    policy,
    style: `<style>${style ?? ''}</style>`,
    script: `<script>${script}</script>`,
  });
  return { html, outputs: { ...hashing.outputs, ...tasks.outputs, ...page.outputs } };
}

interface Script {
  readonly text: string;
  readonly outputs: Metafile['outputs'];
}

/** One script of the page, and what others are inside it as text, by the names it imports them by. */
async function bundled(
  entry: string,
  inside: Readonly<Record<string, Script>> = {},
): Promise<Script> {
  const scripts: Plugin = {
    name: 'scripts-inside',
    setup(setup) {
      setup.onResolve({ filter: /^firmtally:/ }, ({ path }) => ({ path, namespace: 'scripts' }));
      setup.onLoad({ filter: /.*/, namespace: 'scripts' }, ({ path }) => {
        const script = inside[path];
        if (script === undefined) throw new Error(`no script ${path} was made before ${entry}`);
        return { contents: script.text, loader: 'text' };
      });
    },
  };
  const { outputFiles, metafile } = await build({
    ...COMMON,
    plugins: [scripts],
    entryPoints: [inWorkspace(`packages/page/src/${entry}`)],
  });
  return { text: outputFiles[0]?.text ?? '', outputs: metafile.outputs };
}

/** Puts each part at its `{{name}}` mark; a mark without a part, or the reverse, is an error. */
function fill(template: string, parts: Readonly<Record<string, string>>): string {
  const used = new Set<string>();
  const html = template.replaceAll(/\{\{(\w+)\}\}/g, (_, name: string) => {
    const part = parts[name];
    if (part === undefined) throw new Error(`packages/page/src/page.html asks for {{${name}}}`);
    used.add(name);
    return part;
  });
  for (const name of Object.keys(parts)) {
    if (!used.has(name)) throw new Error(`packages/page/src/page.html lacks {{${name}}}`);
  }
  return html;
}
