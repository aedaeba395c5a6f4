/** The workspace as a Windows machine would have it: its files, what is built, and the dependencies' parts for Windows. */
import { execFile } from 'node:child_process';
import { appendFileSync, cpSync, existsSync, mkdirSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { promisify } from 'node:util';
import { inWorkspace } from '../../packages/tooling/src/paths.js';
import { fromRegistry } from '../../packages/tooling/src/registry.js';
import { LIMIT, testRun, vitestWords, type TestRun } from '../support/run-tests.js';
import { NODE_EXE } from './run-group.js';
import type { Wine } from './wine.js';

const run = promisify(execFile);
/** As .ci/run and README pin it. */
const PNPM = 'pnpm@12.21.0';
const PACKAGES = ['core', 'host', 'cli'];

/** Packages in plain folders, as links mean something else there; native ones for both systems. */
const SETTINGS = `
nodeLinker: hoisted
supportedArchitectures:
  os: [current, win32]
  cpu: [current, x64]
`;

/**
 * Makes it in `folder`.
 *
 * @throws RegistryUnreachable; Error with pnpm's own words for anything else
 */
export async function workspaceForWindows(folder: string): Promise<void> {
  mkdirSync(folder);
  await copyWorkspace(folder);
  await install(folder);
}

/** Runs tests of it in the Windows of Wine. */
export async function runTestsThere(
  wine: Wine,
  folder: string,
  files: readonly string[],
  {
    leftOut,
    env,
  }: { readonly leftOut?: readonly string[]; readonly env?: Readonly<Record<string, string>> } = {},
): Promise<TestRun> {
  const { code, stdout, stderr } = await wine.run([NODE_EXE, ...vitestWords(files, leftOut)], {
    cwd: folder,
    limit: LIMIT,
    env: { NO_COLOR: '1', ...env },
  });
  return testRun(code, stdout, stderr);
}

async function copyWorkspace(folder: string): Promise<void> {
  const root = inWorkspace('');
  const list = ['ls-files', '-z', '--cached', '--others', '--exclude-standard'];
  const { stdout } = await run('git', list, { cwd: root, maxBuffer: 1 << 26 });
  for (const path of stdout.split('\0')) {
    // Removed but not yet committed.
    if (path === '' || !existsSync(join(root, path))) continue;
    mkdirSync(dirname(join(folder, path)), { recursive: true });
    cpSync(join(root, path), join(folder, path));
  }
  for (const name of PACKAGES) copyBuilt(name, folder);
}

function copyBuilt(name: string, folder: string): void {
  const dist = inWorkspace(`packages/${name}/dist`);
  if (!existsSync(dist)) throw new Error(`${dist} is not there; run: pnpm run build`);
  cpSync(dist, join(folder, 'packages', name, 'dist'), { recursive: true });
}

async function install(folder: string): Promise<void> {
  appendFileSync(join(folder, 'pnpm-workspace.yaml'), SETTINGS);
  const words = ['install', '--frozen-lockfile', '--prefer-offline', '--ignore-scripts'];
  await fromRegistry('pnpm install for Windows', () =>
    run('npx', ['--yes', PNPM, ...words], { cwd: folder, maxBuffer: 1 << 26 }),
  );
  // The tests take these from their sources (vitest.config.ts).
  for (const name of PACKAGES) {
    rmSync(join(folder, 'packages', name, 'node_modules', '@firmtally'), {
      recursive: true,
      force: true,
    });
  }
}
