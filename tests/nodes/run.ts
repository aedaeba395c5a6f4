/**
 * Runs the command on every line of Node it supports, from the least version to
 * the newest there is: the demo's command lines must give the same bytes as on
 * this one, and tests of the command and of threads must pass.
 *
 *   pnpm run test:nodes [<version>...]
 *
 * Ends with 0 when all is well or when npm's registry cannot be reached,
 * which it then says; with 1 when something differs or fails.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { NODE, nodeBuild, type NodeBuild } from '../../packages/tooling/src/node-build.js';
import { RegistryUnreachable } from '../../packages/tooling/src/registry.js';
import { runTestsHere } from '../support/run-tests.js';
import { GROUPS } from '../windows/commands.js';
import { differences } from '../windows/compare.js';
import { bundleRunner, eachAtOnce, runHere } from '../windows/run-group.js';

const VERSIONS = [NODE.least, NODE.standalone, NODE.later, 'latest'];

/** A part of the tests: what a new Node is likeliest to change. */
const TESTS = [
  'tests/cli/start.test.ts',
  'tests/cli/usage.test.ts',
  'tests/cli/output-option.test.ts',
  'tests/cli/completion.test.ts',
  'tests/cli/place.test.ts',
  'tests/host/digest',
  'tests/host/folder',
];

const say = (text: string): unknown => process.stdout.write(`nodes: ${text}\n`);

const folder = mkdtempSync(join(tmpdir(), 'firmtally-nodes-'));
try {
  process.exitCode = await main(process.argv.slice(2));
} finally {
  rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
}

async function main(given: readonly string[]): Promise<number> {
  if (process.platform !== 'linux' || process.arch !== 'x64') {
    say('SKIPPED: only for Linux on x86-64 is there Node in npm packages that this knows');
    return 0;
  }
  await bundleRunner(folder);
  const names = Object.keys(GROUPS);
  const own = await eachAtOnce(names, (name) => runHere(folder, join(folder, 'own', name), name));
  const count = own.reduce((sum, { outcomes }) => sum + outcomes.length, 0);
  let failed = 0;
  for (const version of given.length > 0 ? given : VERSIONS) {
    try {
      const node = await nodeBuild('linux-x64', version);
      const start = performance.now();
      const found = await runCommands(node, names, own);
      const tests = await runTestsHere(node.executable, TESTS);
      failed += found.length + (tests.passed ? 0 : 1);
      for (const text of [...found, ...tests.lines]) say(text);
      const took = ((performance.now() - start) / 1000).toFixed(0);
      say(
        `Node ${node.version}: ${count} command lines ${found.length === 0 ? 'as' : 'NOT as'} on ${process.version}, ${took} s`,
      );
    } catch (error) {
      if (!(error instanceof RegistryUnreachable)) throw error;
      say(`SKIPPED ${version}: ${error.message}`);
    }
  }
  return failed === 0 ? 0 : 1;
}

/** What differs from the same on this Node. */
async function runCommands(
  node: NodeBuild,
  names: readonly string[],
  own: Awaited<ReturnType<typeof runHere>>[],
): Promise<string[]> {
  const lists = await eachAtOnce([...names.keys()].map(String), async (index) => {
    const [name = '', here] = [names[Number(index)], own[Number(index)]];
    const target = join(folder, node.version, name);
    const outcomes = await runHere(folder, target, name, { node: node.executable });
    if (outcomes.node !== `v${node.version} linux`) return [`${outcomes.node} ran`];
    return here === undefined ? [] : differences(here, outcomes);
  });
  return lists.flat();
}
