// Says what changed between two JSON reports (firmtally audit … --format json).
//
//   node examples/scripts/compare-reports.mjs EARLIER.json NOW.json
//
// Exit code 1 when something is newly wrong or bytes changed.
import { readFile } from 'node:fs/promises';
import { compareReports, escapeText, parseReport } from '@firmtally/core';
import { run } from './run.mjs';

await run(async () => {
  const [before, now] = process.argv.slice(2);
  if (before === undefined || now === undefined) throw new Error('usage: EARLIER.json NOW.json');
  const [earlier, later] = await Promise.all(
    [before, now].map(async (path) => parseReport(await readFile(path, 'utf8'), path)),
  );
  if (earlier === undefined || later === undefined) throw new Error('two reports are needed');
  // Reports carry no times; without the files at hand nothing is called silent.
  const changes = compareReports(earlier, later, { unchangedTime: () => false });
  for (const { firmware, before: was, now: is } of changes.newlyWrong) {
    console.log(`newly wrong: ${firmware}: ${was} -> ${is}`);
  }
  for (const { firmware, before: was, now: is } of changes.newlyRight) {
    console.log(`newly right: ${firmware}: ${was} -> ${is}`);
  }
  for (const { firmware, path } of changes.changedBytes) {
    console.log(escapeText(`other bytes: ${firmware} at ${path}`));
  }
  console.log(`${changes.unchanged} unchanged`);
  return changes.newlyWrong.length + changes.changedBytes.length === 0 ? 0 : 1;
});
