// Audits files that are not on a disk at all: a folder source of your own, here
// over a Map, could as well list a database or a web store. Needs only the core.
//
//   node examples/scripts/custom-source.mjs
import { audit, hashWasmEngine, ReadError } from '@firmtally/core';

// INVENTED data.
const MANIFEST = `
firmtally: 1
firmware:
  osprey-boot:
    path: firmware/osprey_boot.bin
    dumps: [{size: 9, crc32: cbf43926}]   # of the text 123456789
  osprey-font:
    path: firmware/osprey_font.bin
    dumps: [{size: 9, crc32: cbf43926}]
systems:
  osprey: {name: Osprey 8, requires: [osprey-boot]}
  osprey-printer: {requires: [osprey-boot, osprey-font]}
`;

/** @type {ReadonlyMap<string, Uint8Array>} */
const FILES = new Map([
  ['firmware/osprey_boot.bin', new TextEncoder().encode('123456789')],
  ['firmware/osprey_font.bin', new TextEncoder().encode('123456780')],
]);

/* eslint-disable @typescript-eslint/require-await -- both are async by their type; a real store would wait */
/** @type {import('@firmtally/core').FolderSource} */
const folder = {
  async *list() {
    for (const [path, bytes] of FILES) yield { path, kind: 'file', size: bytes.length };
  },
  async *open(path, range) {
    const bytes = FILES.get(path);
    if (bytes === undefined) throw new ReadError('vanished', 'It is no longer there.');
    yield bytes.subarray(range?.start ?? 0, range?.end ?? bytes.length);
  },
};
/* eslint-enable @typescript-eslint/require-await */

const report = await audit(folder, {
  manifests: [{ path: 'invented.yaml', bytes: new TextEncoder().encode(MANIFEST) }],
  platform: { engine: hashWasmEngine, archives: null },
});
for (const { id, readiness } of report.systems) console.log(`${id}: ${readiness}`);
