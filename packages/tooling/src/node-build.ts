/** Builds of Node.js from npm, kept in node_modules/.cache: what tests run on, and what executables are made of. */
import { execFile } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdir, mkdtemp, rename, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { inWorkspace } from './paths.js';
import { npm } from './registry.js';

const run = promisify(execFile);

/** npm has Node's own builds as `node-<platform>`. */
export type NodePlatform = 'linux-x64' | 'win-x64';

export interface NodeBuild {
  /** Without the `v`. */
  readonly version: string;
  /** Absolute path of `node` or `node.exe`. */
  readonly executable: string;
  /** Absolute path of Node's licence; null in packages that bring none (Windows). */
  readonly licence: string | null;
}

/** Versions of Node, without the `v`. */
export const NODE = {
  /** The least that package.json's `engines` allows. */
  least: '20.19.0',
  /** Runs under Wine 8, as 22 does; V8 of 24 and later asks for more address space than Wine gives. */
  windows: '20.20.2',
  /** What the executables are made of: the newest line that runs under Wine, so that the one for Windows is tested. */
  standalone: '22.23.3',
  later: '24.21.0',
} as const;

/**
 * @param version a number, or `latest`
 * @throws RegistryUnreachable; Error when npm has no such version
 */
export async function nodeBuild(platform: NodePlatform, version: string): Promise<NodeBuild> {
  const cache = inWorkspace('node_modules/.cache/firmtally-node');
  await mkdir(cache, { recursive: true });
  const name = `node-${platform}`;
  const known = version === 'latest' ? await newestOf(name) : version;
  const folder = join(cache, `${name}-${known}`);
  if (!existsSync(folder)) {
    // Under a name of its own first, so that a run that is ended leaves no half build.
    const making = await mkdtemp(join(cache, 'making-'));
    try {
      await fetchInto(making, `${name}@${known}`);
      await rename(join(making, 'package'), folder);
    } catch (error) {
      if (!existsSync(folder)) throw error; // else another run was quicker
    } finally {
      await rm(making, { recursive: true, force: true });
    }
  }
  const executable = join(folder, 'bin', platform.startsWith('win') ? 'node.exe' : 'node');
  if (!existsSync(executable)) throw new Error(`${name} ${known} holds no ${executable}`);
  const licence = join(folder, 'LICENSE');
  return { version: known, executable, licence: existsSync(licence) ? licence : null };
}

async function newestOf(name: string): Promise<string> {
  return (await npm(['view', `${name}@latest`, 'version'], tmpdir())).trim();
}

async function fetchInto(folder: string, spec: string): Promise<void> {
  const packed = (await npm(['pack', spec], folder)).trim();
  await run('tar', ['-xzf', packed, 'package/bin', 'package/package.json'], { cwd: folder });
  // Not in the packages for Windows; tar says so with its exit code.
  await run('tar', ['-xzf', packed, 'package/LICENSE'], { cwd: folder }).catch(() => undefined);
}
