/**
 * Runs one group of command lines and writes down what came of each. Bundled
 * by esbuild, as the Windows build of Node 20 reads no TypeScript.
 *
 *   node run-commands.mjs <group> <result.json> [<word>...]
 *
 * in a folder that holds `cli/` (the published bundle) and `examples/demo/`.
 * The words start the command; by default this Node with the bundle does.
 */
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { GROUPS, type Outcome, type Outcomes } from './commands.js';

function filesBelow(folder: string, prefix = ''): Record<string, string> {
  const found: Record<string, string> = {};
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const path = `${prefix}${entry.name}`;
    if (entry.isDirectory()) Object.assign(found, filesBelow(join(folder, entry.name), `${path}/`));
    else
      found[path] = createHash('sha256')
        .update(readFileSync(join(folder, entry.name)))
        .digest('hex');
  }
  return found;
}

const [group = '', target = '', ...launcher] = process.argv.slice(2);
const commands = GROUPS[group];
if (commands === undefined) throw new Error(`no group "${group}"`);
const here = process.cwd();
const [program = '', ...first] =
  launcher.length > 0 ? launcher : [process.execPath, resolve('cli/firmtally.js')];
const demo = (await import(pathToFileURL(resolve('examples/demo/generate.mjs')).href)) as {
  generate(folder: string): void;
};
demo.generate(resolve('.demo'));

const outcomes: Outcome[] = [];
commands((words, { input = '', cwd = '.', columns = 80 } = {}) => {
  const { status, signal, stdout, stderr, error } = spawnSync(
    program,
    [...first, ...words.split(' ').filter((word) => word !== '')],
    {
      cwd: resolve(cwd),
      input,
      env: { ...process.env, NO_COLOR: '1', COLUMNS: String(columns), LANG: 'C.UTF-8' },
      maxBuffer: 1 << 28,
    },
  );
  if (error !== undefined) throw error;
  const outcome: Outcome = {
    line: `firmtally ${words}`.trim(),
    code: status,
    signal,
    stdout: stdout.toString('latin1'),
    stderr: stderr.toString('latin1'),
  };
  outcomes.push(outcome);
  return outcome;
});
const result: Outcomes = {
  here,
  node: `${process.version} ${process.platform}`,
  outcomes,
  files: filesBelow('.demo', '.demo/'),
};
writeFileSync(target, JSON.stringify(result));
