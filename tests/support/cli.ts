import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';

/** The bundle that is published. */
export const CLI = fileURLToPath(
  new URL('../../packages/cli/dist/bundle/firmtally.js', import.meta.url),
);

/** What starts the command: Node with that bundle, or the executable that tests/standalone tries. */
const [PROGRAM, ...FIRST] =
  process.env['FIRMTALLY_PROGRAM'] === undefined
    ? ([process.execPath, CLI] as const)
    : ([process.env['FIRMTALLY_PROGRAM']] as const);

export interface CliResult {
  readonly code: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

export interface CliOptions {
  readonly cwd?: string;
  readonly env?: Readonly<Record<string, string>>;
  readonly input?: string | Uint8Array;
}

/** Runs the real CLI process to its end, without a terminal. */
export function firmtally(args: readonly string[], options: CliOptions = {}): Promise<CliResult> {
  return new Promise((resolve, reject) => {
    const child = spawn(PROGRAM, [...FIRST, ...args], {
      cwd: options.cwd,
      env: { PATH: process.env['PATH'] ?? '', LANG: 'C.UTF-8', ...options.env },
      stdio: 'pipe',
    });
    const out: Buffer[] = [];
    const err: Buffer[] = [];
    child.stdout.on('data', (chunk: Buffer) => out.push(chunk));
    child.stderr.on('data', (chunk: Buffer) => err.push(chunk));
    child.on('error', reject);
    child.on('close', (code) => {
      resolve({
        code,
        stdout: Buffer.concat(out).toString('utf8'),
        stderr: Buffer.concat(err).toString('utf8'),
      });
    });
    child.stdin.on('error', () => undefined); // the process may end before it reads
    child.stdin.end(options.input ?? '');
  });
}
