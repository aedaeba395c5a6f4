// Prints the systems that are not ready and what to do for each firmware that is wrong.
//
//   node examples/scripts/audit-folder.mjs FOLDER MANIFEST
//
// Exit code 0 when every system is ready, else 1.
import { escapeText, viewOf } from '@firmtally/core';
import { auditFolder } from '@firmtally/host';
import { run } from './run.mjs';

await run(async () => {
  const [root, manifest] = process.argv.slice(2);
  if (root === undefined || manifest === undefined) throw new Error('usage: FOLDER MANIFEST');
  // `systems: ['osprey']` or `loadout: 'pocket'` would choose.
  const report = await auditFolder(root, { manifests: [manifest] });

  const waiting = report.systems.filter(({ readiness }) => readiness !== 'ready');
  for (const system of waiting) {
    console.log(`${escapeText(system.name)}: ${system.readiness}`);
    for (const firmware of report.firmware) {
      if (!firmware.systems.includes(system.id) || firmware.advice === null) continue;
      console.log(`  ${firmware.id} (${firmware.verdict}): ${escapeText(firmware.advice.text)}`);
    }
  }
  console.log(viewOf(report).summary);
  return waiting.length === 0 ? 0 : 1;
});
