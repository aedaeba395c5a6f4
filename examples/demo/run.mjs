// The demo: generates the invented cards, audits one, and says what to try next.
//
//   pnpm run demo        (builds first)
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import process from 'node:process';
import { fileURLToPath } from 'node:url';
import { generate } from './generate.mjs';

const workspace = fileURLToPath(new URL('../..', import.meta.url));
const cli = fileURLToPath(new URL('../../packages/cli/dist/bundle/firmtally.js', import.meta.url));

/** The audit cannot find everything ready: the demo card is made to show what can be wrong. */
const NOT_READY = 1;

process.exitCode = run();

/** @returns {number} exit code: 0 when the audit ended as it should */
function run() {
  if (!existsSync(cli)) return fail('nothing is built yet; run: pnpm run demo');
  generate();
  const audit = 'audit .demo/card -m examples/demo/manifest.yaml --loadout pocket';
  process.stdout.write(`$ firmtally ${audit}\n`);
  const { status, error } = spawnSync(process.execPath, [cli, ...audit.split(' ')], {
    cwd: workspace,
    stdio: 'inherit',
  });
  if (error) return fail(`the audit did not start: ${error.message}`);
  if (status !== NOT_READY) return fail(`the audit ended with exit code ${status}, not 1`);
  process.stdout.write(
    '\nExit code 1, as expected: some of these invented systems are not ready on purpose.\n' +
      'The files are in .demo; README.md goes on from here to a card that is ready.\n',
  );
  return 0;
}

/** @param {string} message */
function fail(message) {
  process.stderr.write(`demo: ${message}\n`);
  return 2;
}
