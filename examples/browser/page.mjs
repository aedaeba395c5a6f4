// The page: reads what was picked, audits it with @firmtally/core, shows the result.
import {
  audit,
  digestStream,
  hashWasmEngine,
  readManifests,
  selectSystems,
  viewOf,
} from '@firmtally/core';
import { pickedFolder } from './picked-folder.mjs';
import { showLines, showText } from './show.mjs';
import { zipArchives } from './zip-archives.mjs';

const form = /** @type {HTMLFormElement} */ (document.querySelector('form'));
form.addEventListener('submit', (event) => {
  event.preventDefault();
  void auditPicked().catch((/** @type {unknown} */ error) => {
    showText(
      'summary',
      `That did not work: ${error instanceof Error ? error.message : String(error)}`,
    );
  });
});

async function auditPicked() {
  for (const id of ['systems', 'todo', 'problems']) showLines(id, []);
  const { manifest, problems } = await readManifests(
    await Promise.all(
      filesOf('manifests').map(async (file) => ({
        path: file.name,
        bytes: new Uint8Array(await file.arrayBuffer()),
      })),
    ),
  );
  showLines(
    'problems',
    problems.map(({ file, line, column, message }) => [`${file}:${line}:${column}`, message]),
  );
  if (manifest === null) {
    showText('summary', 'The manifest has errors.');
    return;
  }
  const folder = pickedFolder(filesOf('folder'));
  const report = await audit({
    root: folder.name,
    manifest,
    selection: selectSystems(manifest, {}),
    folder,
    digester: {
      digestFile: (path, algorithms, options) =>
        digestStream(folder.open(path), algorithms, hashWasmEngine, options),
    },
    archives: zipArchives,
    digestStream: (stream, algorithms) => digestStream(stream, algorithms, hashWasmEngine),
    onProgress: (progress) => {
      if (progress.phase === 'read') showText('summary', `Reading: ${progress.bytes} bytes`);
    },
  });
  showLines(
    'systems',
    report.systems.map(({ name, readiness }) => [`${name}: ${readiness}`, '']),
  );
  showLines(
    'todo',
    report.firmware.flatMap(({ expectedPath, verdict, advice }) =>
      advice === null ? [] : [[`${expectedPath}: ${verdict}`, advice.text]],
    ),
  );
  showText('summary', viewOf(report).summary);
}

/**
 * @param {string} id of a file input
 * @returns {File[]}
 */
function filesOf(id) {
  const input = /** @type {HTMLInputElement} */ (document.getElementById(id));
  return [...(input.files ?? [])];
}
