/**
 * Tries the executables of `pnpm run standalone`: the same bytes as the command
 * of npm, with nothing on PATH; and the one for Windows under Wine.
 *
 *   pnpm run test:standalone
 *
 * Ends with 0 when all is well or when this machine cannot tell, which it then
 * says; with 1 when something differs.
 */
import { spawnSync } from 'node:child_process';
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { NODE, nodeBuild } from '../../packages/tooling/src/node-build.js';
import { inWorkspace } from '../../packages/tooling/src/paths.js';
import { RegistryUnreachable } from '../../packages/tooling/src/registry.js';
import { runTestsHere } from '../support/run-tests.js';
import { GROUPS } from '../windows/commands.js';
import { differences } from '../windows/compare.js';
import { bundleRunner, eachAtOnce, runHere, runThere } from '../windows/run-group.js';
import { findWine, Wine } from '../windows/wine.js';
import { runTestsThere, workspaceForWindows } from '../windows/workspace.js';

const made = inWorkspace('dist/standalone');
const LINUX = join(made, 'firmtally');
const WINDOWS = join(made, 'firmtally.exe');

/** Those that start the command. */
const TESTS = ['tests/cli', 'tests/vectors'];

const say = (text: string): unknown => process.stdout.write(`standalone: ${text}\n`);

let failures = 0;
function check(what: string, found: readonly string[]): void {
  failures += found.length;
  for (const text of found) say(text);
  say(`${what}: ${found.length === 0 ? 'as it should be' : 'NOT as it should be'}`);
}

const folder = mkdtempSync(join(tmpdir(), 'firmtally-standalone-test-'));
try {
  await main();
} finally {
  rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
}
process.exitCode = failures === 0 ? 0 : 1;

async function main(): Promise<void> {
  if (!existsSync(LINUX) || !existsSync(WINDOWS)) {
    say('SKIPPED: there are no executables; `pnpm run standalone` says why');
    return;
  }
  await bundleRunner(folder);
  if (process.platform === 'linux' && process.arch === 'x64') await onLinux();
  else say('SKIPPED on Linux: this is another system');
  await onWindows();
}

async function onLinux(): Promise<void> {
  check('SHA256SUMS, checked by the executable', sumsMatch());
  check('threads of an executable', threadsStart());
  const home = join(folder, 'home');
  mkdirSync(home);
  const names = Object.keys(GROUPS);
  const lists = await eachAtOnce(names, async (name) => {
    const npm = await runHere(folder, join(folder, 'npm', name), name);
    // What runs the commands needs no PATH either.
    const launch = { launcher: [LINUX], env: { PATH: '', HOME: home, TMPDIR: home } };
    return differences(npm, await runHere(folder, join(folder, 'executable', name), name, launch));
  });
  check('commands with an empty PATH, against the command of npm', lists.flat());
  check('the same in the tests of the command and the scenarios', await testsFail());
  const left = readdirSync(home, { recursive: true }).map(String);
  check('nothing is left in the home folder', left);
}

/** They start the executable in its place. */
async function testsFail(): Promise<readonly string[]> {
  const { passed, lines } = await runTestsHere(process.execPath, TESTS, {
    FIRMTALLY_PROGRAM: LINUX,
  });
  for (const line of passed ? lines : []) say(line);
  return passed ? [] : lines;
}

function sumsMatch(): string[] {
  const words = ['digest', '--check', 'SHA256SUMS'];
  const { status, stdout, stderr } = spawnSync(LINUX, words, {
    cwd: made,
    env: {},
    encoding: 'utf8',
  });
  return status === 0 ? [] : [`exit code ${status}: ${stdout}${stderr}`];
}

/** Node says on stderr, when it is asked to, that threads start; two large files want them. */
function threadsStart(): string[] {
  for (const name of ['a', 'b']) writeFileSync(join(folder, name), Buffer.alloc(20 << 20, name));
  const { status, stdout, stderr } = spawnSync(LINUX, ['digest', 'a', 'b', '--quiet'], {
    cwd: folder,
    env: { NODE_DEBUG: 'worker' },
    encoding: 'utf8',
  });
  if (status !== 0 || !stdout.includes('sha1')) return [`exit code ${status}: ${stderr}`];
  return /^WORKER /m.test(stderr) ? [] : ['no thread was started'];
}

async function onWindows(): Promise<void> {
  const loader = findWine();
  if (loader === null) {
    say('SKIPPED on Windows: there is no Wine here (Debian: apt-get install wine64)');
    return;
  }
  const place = join(folder, 'wine');
  mkdirSync(place);
  const wine = new Wine(loader, place);
  try {
    // Only runs the commands; the executable is to do without.
    const node = await nodeBuild('win-x64', NODE.windows);
    await wine.setUp();
    copyFileSync(node.executable, join(wine.drive, 'node.exe'));
    copyFileSync(WINDOWS, join(wine.drive, 'firmtally.exe'));
    const here = await runHere(folder, join(folder, 'npm', 'for-windows'), 'placing');
    const there = await runThere(wine, folder, join(wine.drive, 'placing'), 'placing', {
      launcher: ['C:\\firmtally.exe'],
    });
    check('firmtally.exe under Wine, against the command of npm', differences(here, there));
    const workspace = join(wine.drive, 'ft');
    await workspaceForWindows(workspace);
    const env = { FIRMTALLY_PROGRAM: 'C:\\firmtally.exe' };
    const { passed, lines } = await runTestsThere(wine, workspace, ['tests/vectors'], { env });
    for (const line of passed ? lines : []) say(line);
    check('the scenarios by firmtally.exe under Wine', passed ? [] : lines);
  } catch (error) {
    if (!(error instanceof RegistryUnreachable)) throw error;
    say(`SKIPPED on Windows: ${error.message}`);
  } finally {
    wine.shutDown();
  }
}
