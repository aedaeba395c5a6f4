/**
 * Writes every committed generated file, or with `--check` fails when one is stale.
 *
 *   tsx packages/tooling/src/generate.ts [--check]
 */
import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { dirname } from 'node:path';
import { generateCaseFolding } from './generate/case-folding.js';
import type { GeneratedFiles } from './generate/files.js';
import { generateIntegerKeys } from './generate/integer-keys.js';
import { generateSchemaModules } from './generate/schemas.js';
import { generateValidators } from './generate/validators.js';
import { inWorkspace } from './paths.js';

const files: GeneratedFiles = new Map([
  ...(await generateCaseFolding()),
  ...(await generateIntegerKeys()),
  ...(await generateSchemaModules()),
  ...(await generateValidators()),
]);

const stale: string[] = [];
for (const [path, content] of files) {
  const target = inWorkspace(path);
  const current = await readFile(target, 'utf8').catch((error: unknown) => {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw error;
  });
  if (current === content) continue;
  stale.push(path);
  if (process.argv.includes('--check')) continue;
  await mkdir(dirname(target), { recursive: true });
  await writeFile(target, content);
}

if (process.argv.includes('--check') && stale.length > 0) {
  console.error(`stale generated files; run \`pnpm run generate\`:\n  ${stale.join('\n  ')}`);
  process.exitCode = 1;
} else {
  console.log(`${files.size} generated files, ${stale.length} rewritten`);
}
