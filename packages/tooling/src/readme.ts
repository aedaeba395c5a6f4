/**
 * Runs the commands that the documents show against the demo and writes their output into them, or
 * with `--check` fails when what one shows is no longer true.
 *
 *   tsx packages/tooling/src/readme.ts [--check]
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { inWorkspace } from './paths.js';
import { fillMarkdown } from './readme/run-blocks.js';

/** Each against a fresh demo. */
const DOCUMENTS = ['README.md', 'packages/cli/docs/walk.md'];

for (const document of DOCUMENTS) {
  const target = inWorkspace(document);
  const current = readFileSync(target, 'utf8');
  const fresh = fillMarkdown(current);
  if (fresh === current) {
    console.log(`${document} shows what the commands print`);
  } else if (process.argv.includes('--check')) {
    const [shown = [], now = []] = [current, fresh].map((text) => text.split('\n'));
    const at = now.findIndex((line, index) => line !== shown[index]);
    console.error(
      `${document}:${at + 1} is stale; run \`pnpm run readme\`\n  shows: ${shown[at] ?? ''}\n  prints: ${now[at] ?? ''}`,
    );
    process.exitCode = 1;
  } else {
    writeFileSync(target, fresh);
    console.log(`${document} rewritten`);
  }
}
