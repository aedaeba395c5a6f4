/**
 * Writes the API report of each published library, or with `--check` fails
 * when one is stale or a public function, class or constant has no docstring.
 * Reads the built declarations: run `pnpm run build` first.
 *
 *   tsx packages/tooling/src/api.ts [--check]
 */
import { reportApi } from './api/report.js';
import { undocumented } from './api/undocumented.js';

const check = process.argv.includes('--check');
for (const name of ['core', 'host']) {
  const { changed, path, text } = reportApi(name, !check);
  const bare = undocumented(text);
  for (const declaration of bare) console.error(`${path}: no docstring: ${declaration}`);
  if (check && changed) {
    console.error(
      `${path} is stale: the public API of @firmtally/${name} has changed.\n` +
        'If that is meant, run `pnpm run api`, commit the report, and note the change in the changelog.',
    );
  } else {
    console.log(`${path}: ${changed ? 'rewritten' : 'up to date'}`);
  }
  if (bare.length > 0 || (check && changed)) process.exitCode = 1;
}
