/** Runs a group of command lines in a folder made for it: here, or in the Windows of Wine. */
import { spawn } from 'node:child_process';
import { copyFileSync, cpSync, mkdirSync, readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { build } from 'esbuild';
import { inWorkspace } from '../../packages/tooling/src/paths.js';
import type { Outcomes } from './commands.js';
import type { Wine } from './wine.js';

/** Seconds for a group; several times what it takes on two cores, so that only a hang is ended. */
const LIMIT = 600;

/** Where the Windows build of Node is put. */
export const NODE_EXE = 'C:\\node.exe';

const RUNNER = 'run-commands.mjs';

/** Makes run-commands.ts one file of JavaScript in `folder`. */
export async function bundleRunner(folder: string): Promise<void> {
  await build({
    entryPoints: [inWorkspace('tests/windows/run-commands.ts')],
    outfile: join(folder, RUNNER),
    bundle: true,
    format: 'esm',
    platform: 'node',
    target: 'node20.19',
  });
}

/** What the commands need: the published bundle, the demo, and the list of them. */
function makeFolder(folder: string, runner: string): void {
  mkdirSync(folder, { recursive: true });
  cpSync(inWorkspace('packages/cli/dist/bundle'), join(folder, 'cli'), { recursive: true });
  cpSync(inWorkspace('examples/demo'), join(folder, 'examples', 'demo'), { recursive: true });
  copyFileSync(join(runner, RUNNER), join(folder, RUNNER));
}

export interface Launch {
  /** Words that start the command; by default Node with the bundle. */
  readonly launcher?: readonly string[];
  /** The whole environment of the commands, and of what runs them. */
  readonly env?: Readonly<Record<string, string | undefined>>;
  /** Node that runs it; by default this one. */
  readonly node?: string;
}

/**
 * @param runner folder of {@link bundleRunner}
 * @param folder to be made
 * @param group of commands.ts
 */
export async function runHere(
  runner: string,
  folder: string,
  group: string,
  launch: Launch = {},
): Promise<Outcomes> {
  makeFolder(folder, runner);
  const { launcher = [], env, node = process.execPath } = launch;
  const child = spawn(node, [RUNNER, group, 'result.json', ...launcher], {
    cwd: folder,
    env: env ?? { PATH: process.env['PATH'], HOME: folder, TMPDIR: folder },
    stdio: ['ignore', 'inherit', 'inherit'],
    timeout: LIMIT * 1000,
  });
  const code = await new Promise((resolve, reject) => {
    child.on('error', reject).on('exit', resolve);
  });
  if (code !== 0) throw new Error(`the commands "${group}" did not run to their end here`);
  return outcomesIn(folder);
}

/** The same under Wine; the folder is one of its drive. */
export async function runThere(
  wine: Wine,
  runner: string,
  folder: string,
  group: string,
  { launcher = [] }: Launch = {},
): Promise<Outcomes> {
  makeFolder(folder, runner);
  const { code, stdout, stderr } = await wine.run(
    [NODE_EXE, RUNNER, group, 'result.json', ...launcher],
    { cwd: folder, limit: LIMIT },
  );
  if (code !== 0) {
    const end = code ?? 'the time limit';
    throw new Error(`the commands "${group}" ended with ${end}\n${stdout}${stderr}`);
  }
  return outcomesIn(folder);
}

function outcomesIn(folder: string): Outcomes {
  return JSON.parse(readFileSync(join(folder, 'result.json'), 'utf8')) as Outcomes;
}

/** All of them, as many at the same time as there are CPUs; in the order given. */
export async function eachAtOnce<T>(
  names: readonly string[],
  work: (name: string) => Promise<T>,
): Promise<T[]> {
  const results: T[] = [];
  const waiting = [...names.entries()];
  const lane = async (): Promise<void> => {
    for (let next = waiting.shift(); next !== undefined; next = waiting.shift()) {
      results[next[0]] = await work(next[1]);
    }
  };
  await Promise.all(Array.from({ length: availableParallelism() }, lane));
  return results;
}
