// Prints the systems that are not ready and what to do for each firmware that is wrong.
//
//   node examples/scripts/audit-folder.mjs FOLDER MANIFEST
//
// Exit code 0 when every system is ready, else 1.
import { audit, digestStream, escapeText, selectSystems, viewOf } from '@firmtally/core';
import { createDigester, nativeEngine, openFolder, zipReader } from '@firmtally/host';
import { readManifest, run } from './read-manifest.mjs';

await run(async () => {
  const [root, manifestPath] = process.argv.slice(2);
  if (root === undefined || manifestPath === undefined) throw new Error('usage: FOLDER MANIFEST');
  const manifest = await readManifest(manifestPath);
  const folder = await openFolder(root);
  const digester = createDigester(folder);
  const report = await audit({
    root,
    manifest,
    selection: selectSystems(manifest, {}), // or {systems: ['osprey']}, or {loadout: 'pocket'}
    folder,
    digester,
    archives: zipReader,
    digestStream: (stream, algorithms) => digestStream(stream, algorithms, nativeEngine),
  });
  await digester.close();

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
