/**
 * Runs the README's commands against the demo and writes their output into it, or with `--check`
 * fails when what it shows is no longer true.
 *
 *   tsx packages/tooling/src/readme.ts [--check]
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { inWorkspace } from './paths.js';
import { fillMarkdown } from './readme/run-blocks.js';

const target = inWorkspace('README.md');
const current = readFileSync(target, 'utf8');
const fresh = fillMarkdown(current);
if (fresh === current) {
  console.log('README.md shows what the commands print');
} else if (process.argv.includes('--check')) {
  const [shown = [], now = []] = [current, fresh].map((text) => text.split('\n'));
  const at = now.findIndex((line, index) => line !== shown[index]);
  console.error(
    `README.md:${at + 1} is stale; run \`pnpm run readme\`\n  shows: ${shown[at] ?? ''}\n  prints: ${now[at] ?? ''}`,
  );
  process.exitCode = 1;
} else {
  writeFileSync(target, fresh);
  console.log('README.md rewritten');
}
