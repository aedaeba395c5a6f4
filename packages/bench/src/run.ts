import { spawn, spawnSync } from 'node:child_process';
import { performance } from 'node:perf_hooks';
import { fileURLToPath } from 'node:url';

/** The bundle people get. */
export const CLI = fileURLToPath(new URL('../../cli/dist/bundle/firmtally.js', import.meta.url));

/** Whose dependencies the command carries. */
export const CORE = fileURLToPath(new URL('../../core/package.json', import.meta.url));

/** Of the Node that runs everything here. */
export const NODE_MAJOR = Number(process.versions.node.split('.', 1)[0]);

/** Whether a program can be started here. */
export function hasProgram(name: string): boolean {
  return spawnSync(name, ['--version'], { stdio: 'ignore' }).error === undefined;
}

/** Runs a program with its output thrown away; gives wall time in ms. Throws on any exit code not in `codes`. */
export async function timed(
  program: string,
  args: readonly string[],
  codes: readonly number[] = [0],
): Promise<number> {
  const started = performance.now();
  await new Promise<void>((resolve, reject) => {
    const child = spawn(program, args, { stdio: 'ignore' });
    child.on('error', reject);
    child.on('close', (code) => {
      if (code !== null && codes.includes(code)) resolve();
      else reject(new Error(`${program} ${args[0] ?? ''} ended with ${String(code)}`));
    });
  });
  return performance.now() - started;
}

/** Best wall time in ms of each contender, their runs interleaved so that drift of the machine hits all alike. */
export async function bestOf(
  runs: number,
  contenders: readonly (() => Promise<number>)[],
): Promise<number[]> {
  const best = contenders.map(() => Infinity);
  for (let run = 0; run < runs; run++) {
    for (const [index, contender] of contenders.entries()) {
      best[index] = Math.min(best[index] ?? Infinity, await contender());
    }
  }
  return best;
}

export function seconds(ms: number): string {
  return `${(ms / 1000).toFixed(2)} s`;
}

export function times(ratio: number): string {
  return `${ratio.toFixed(2)}×`;
}
