/** The workspace as a Windows machine would have it: its files, what is built, and the dependencies' parts for Windows. */
import { execFile } from 'node:child_process';
import { appendFileSync, cpSync, existsSync, mkdirSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { promisify } from 'node:util';
import { inWorkspace } from '../../packages/tooling/src/paths.js';

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

export async function copyWorkspace(folder: string): Promise<void> {
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

/** @throws with npm's own words when the registry cannot be reached */
export async function installForWindows(folder: string): Promise<void> {
  appendFileSync(join(folder, 'pnpm-workspace.yaml'), SETTINGS);
  await run(
    'npx',
    ['--yes', PNPM, 'install', '--frozen-lockfile', '--prefer-offline', '--ignore-scripts'],
    { cwd: folder, maxBuffer: 1 << 26 },
  );
  // The tests take these from their sources (vitest.config.ts).
  for (const name of PACKAGES) {
    rmSync(join(folder, 'packages', name, 'node_modules', '@firmtally'), {
      recursive: true,
      force: true,
    });
  }
}
