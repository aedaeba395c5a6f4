// Lists every problem of a manifest as file:line:column, with its rule id.
//
//   node examples/scripts/check-manifest.mjs MANIFEST
//
// Exit code 1 when one of them is an error.
import { readFile } from 'node:fs/promises';
import { escapeText, readManifests } from '@firmtally/core';
import { run } from './run.mjs';

await run(async () => {
  const [path] = process.argv.slice(2);
  if (path === undefined) throw new Error('usage: MANIFEST');
  const { manifest, problems } = await readManifests([{ path, bytes: await readFile(path) }]);
  for (const { file, line, column, severity, message, rule, suggestion } of problems) {
    const hint = suggestion === null ? '' : ` (${suggestion})`;
    console.log(escapeText(`${file}:${line}:${column}: ${severity}: ${message}${hint} [${rule}]`));
  }
  if (manifest === null) return 1;
  console.log(`${manifest.systems.size} systems need ${manifest.firmware.size} firmware files`);
  return 0;
});
