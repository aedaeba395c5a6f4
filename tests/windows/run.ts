/**
 * Runs Firmtally on Windows: the Windows build of Node under Wine. See README.md beside this file.
 *
 *   pnpm run test:windows [--only commands|tests] [--keep] [<test file>...]
 *
 * Ends with 0 when all is as on Linux or when this machine cannot tell, which
 * it then says; with 1 when something differs or fails.
 */
import { copyFileSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { NODE, nodeBuild } from '../../packages/tooling/src/node-build.js';
import { RegistryUnreachable } from '../../packages/tooling/src/registry.js';
import { differences } from './compare.js';
import { GROUPS, type Outcomes } from './commands.js';
import { bundleRunner, eachAtOnce, NODE_EXE, runHere, runThere } from './run-group.js';
import { offeredOptions, untried } from './untried.js';
import { findWine, Wine } from './wine.js';
import { runTestsThere, workspaceForWindows } from './workspace.js';

const { values: options, positionals: files } = parseArgs({
  allowPositionals: true,
  options: { only: { type: 'string' }, keep: { type: 'boolean', default: false } },
});

/** What runs of the tests when none are named. */
const TESTS = ['tests/host', 'tests/cli'];

/**
 * What does not run then. It starts the command some fifty times, each a quarter
 * of a second under Wine, to see words taken apart before any file is looked
 * at; the command lines of commands.ts have help and wrong ones too.
 */
const LEFT_OUT = ['tests/cli/usage.test.ts'];

const say = (text: string): unknown => process.stdout.write(`windows: ${text}\n`);

/** Says how long a part took. */
async function timed<T>(what: string, work: () => Promise<T>): Promise<T> {
  const start = performance.now();
  try {
    return await work();
  } finally {
    say(`${what}: ${((performance.now() - start) / 1000).toFixed(0)} s`);
  }
}

process.exitCode = await main();

async function main(): Promise<number> {
  const loader = findWine();
  if (loader === null) return skipped('there is no Wine here (Debian: apt-get install wine64)');
  const folder = mkdtempSync(join(tmpdir(), 'firmtally-windows-'));
  const wine = new Wine(loader, folder);
  const end = (): void => {
    wine.shutDown();
    if (options.keep) say(`kept: ${folder}`);
    else rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
  };
  for (const signal of ['SIGINT', 'SIGTERM'] as const) {
    process.once(signal, () => {
      end();
      process.exit(1);
    });
  }
  try {
    const node = await nodeBuild('win-x64', NODE.windows);
    await timed('a Windows made', () => wine.setUp());
    copyFileSync(node.executable, join(wine.drive, 'node.exe'));
    await checkVersion(wine, node.version);
    let failed = 0;
    if (options.only !== 'tests') failed += await commandsDiffer(wine, folder);
    if (options.only !== 'commands') failed += await testsFail(wine);
    return failed === 0 ? 0 : 1;
  } catch (error) {
    if (error instanceof RegistryUnreachable) return skipped(error.message);
    throw error;
  } finally {
    end();
  }
}

function skipped(why: string): number {
  say(`SKIPPED: ${why}`);
  return 0;
}

async function checkVersion(wine: Wine, version: string): Promise<void> {
  const asked = 'process.stdout.write(process.version + " " + process.platform)';
  const { code, stdout, stderr } = await wine.run([NODE_EXE, '-e', asked], {
    cwd: wine.drive,
    limit: 120,
  });
  if (code !== 0 || stdout !== `v${version} win32`) {
    throw new Error(`Node ${version} does not run under Wine: ${code}, "${stdout}"\n${stderr}`);
  }
}

/** Every command on the demo, once here and once there. Gives the number of differences. */
async function commandsDiffer(wine: Wine, folder: string): Promise<number> {
  await bundleRunner(folder);
  const names = Object.keys(GROUPS);
  const here = await timed('commands here', () =>
    eachAtOnce(names, (name) => runHere(folder, join(folder, 'linux', name), name)),
  );
  const lines = here.flatMap((each) => each.outcomes.map(({ line }) => line));
  const missing = untried(lines, await offeredOptions());
  for (const each of missing) say(`no command line of commands.ts tries: ${each}`);
  const there = await timed('commands there', () =>
    eachAtOnce(names, (name) => runThere(wine, folder, join(wine.drive, name), name)),
  );
  const found = names.flatMap((_name, index) =>
    differences(here[index] as Outcomes, there[index] as Outcomes),
  );
  if (found.length > 0) say(`${found.length} differences (< Linux, > Windows):`);
  for (const text of found) say(text);
  say(
    `${lines.length} command lines compared, ${found.length === 0 ? 'all alike' : 'NOT all alike'}`,
  );
  return found.length + missing.length;
}

/** The tests of host and command, run by vitest inside that Windows; the scenarios are run by tests/standalone. */
async function testsFail(wine: Wine): Promise<number> {
  const folder = join(wine.drive, 'ft');
  await timed('dependencies for Windows', () => workspaceForWindows(folder));
  const { passed, lines } = await timed('tests there', () =>
    files.length > 0
      ? runTestsThere(wine, folder, files)
      : runTestsThere(wine, folder, TESTS, { leftOut: LEFT_OUT }),
  );
  for (const line of lines) say(line);
  return passed ? 0 : 1;
}
