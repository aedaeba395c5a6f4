/** Tells that npm's registry cannot be reached, for which work may be skipped, from every other failure. */
import { execFile } from 'node:child_process';
import { promisify } from 'node:util';

const run = promisify(execFile);

/** Nothing answers where the registry should be. What needs it skips, and says this. */
export class RegistryUnreachable extends Error {
  override readonly name = 'RegistryUnreachable';
}

/** npm that cannot reach its registry would otherwise try for minutes. */
const FETCH = ['--fetch-retries=1', '--fetch-retry-mintimeout=1000', '--prefer-offline'];

/**
 * @returns what npm prints
 * @throws RegistryUnreachable; Error with npm's own words for anything else, a version there is none of among it
 */
export function npm(args: readonly string[], cwd: string): Promise<string> {
  return fromRegistry(`npm ${args.join(' ')}`, async () => {
    return (await runNpm([...args, ...FETCH], cwd)).stdout;
  });
}

/**
 * Does what fetches from the registry. When that fails the registry is asked
 * whether it is there, as programs word their failures each in their own way.
 */
export async function fromRegistry<T>(what: string, work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    const { message, stdout = '' } = error as Error & { stdout?: string };
    const reason = await whyUnreachable();
    if (reason !== null) {
      throw new RegistryUnreachable(`${what}: the registry cannot be reached: ${reason}`, {
        cause: error,
      });
    }
    throw new Error(`${what} failed, and not for want of the registry:\n${message}\n${stdout}`, {
      cause: error,
    });
  }
}

/** Null when something answers, be it that it knows no ping. */
async function whyUnreachable(): Promise<string | null> {
  try {
    await runNpm(['ping', '--fetch-retries=0'], process.cwd());
    return null;
  } catch (error) {
    const { stderr = '', message } = error as Error & { stderr?: string };
    const code = /^npm (?:error|ERR!) code (\S+)/m.exec(stderr)?.[1];
    // npm's codes for answers of HTTP: E404 and the like.
    if (code !== undefined && /^E\d{3}$/.test(code)) return null;
    return /^npm (?:error|ERR!) (.*\bfailed, reason: .*)$/m.exec(stderr)?.[1] ?? code ?? message;
  }
}

function runNpm(args: readonly string[], cwd: string): Promise<{ stdout: string }> {
  const windows = process.platform === 'win32';
  const options = { cwd, shell: windows, maxBuffer: 1 << 24 };
  return run(windows ? 'npm.cmd' : 'npm', [...args, '--loglevel=error'], options);
}
