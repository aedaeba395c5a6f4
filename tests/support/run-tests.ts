/** Runs tests of what is built already, where all is not as in `pnpm run test`: see built.vitest.config.ts. */
import { spawn } from 'node:child_process';
import { inWorkspace } from '../../packages/tooling/src/paths.js';

/** Seconds; several times what it takes on two cores, so that only a hang is ended. */
export const LIMIT = 900;

export interface TestRun {
  readonly passed: boolean;
  /** Vitest's two lines of how many files and tests passed; all that it printed when some did not. */
  readonly lines: readonly string[];
}

/**
 * @param files tests to run, as vitest takes them; none means all of host, command and vectors
 * @param leftOut files of these that do not run
 */
export function vitestWords(
  files: readonly string[] = [],
  leftOut: readonly string[] = [],
): string[] {
  const config = 'tests/support/built.vitest.config.ts';
  const excluded = leftOut.flatMap((file) => ['--exclude', file]);
  return ['node_modules/vitest/vitest.mjs', 'run', '-c', config, ...files, ...excluded];
}

/** @param code exit code; null when it was ended for taking too long */
export function testRun(code: number | null, stdout: string, stderr: string): TestRun {
  if (code !== 0) {
    const end = `tests ended with ${code ?? `the time limit of ${LIMIT} s`}`;
    return { passed: false, lines: [stdout, stderr, end] };
  }
  const lines = stdout.split('\n').filter((line) => /^ +(?:Test Files|Tests) /.test(line));
  return { passed: true, lines: lines.map((line) => line.trim().replaceAll(/ +/g, ' ')) };
}

/** @param node executable of Node.js */
export async function runTestsHere(
  node: string,
  files: readonly string[],
  env: Readonly<Record<string, string>> = {},
): Promise<TestRun> {
  const child = spawn(node, vitestWords(files), {
    cwd: inWorkspace(''),
    env: { ...process.env, NO_COLOR: '1', ...env },
    stdio: ['ignore', 'pipe', 'pipe'],
    timeout: LIMIT * 1000,
  });
  const [out, err]: [string[], string[]] = [[], []];
  child.stdout.setEncoding('utf8').on('data', (text: string) => out.push(text));
  child.stderr.setEncoding('utf8').on('data', (text: string) => err.push(text));
  const code = await new Promise<number | null>((resolve, reject) => {
    child.on('error', reject).on('close', resolve);
  });
  return testRun(code, out.join(''), err.join(''));
}
