// Writes a report in a format of your own: here a shopping list of what is still
// to get, one tab-separated line for each file.
//
//   node examples/scripts/custom-reporter.mjs FOLDER MANIFEST
//
// Exit code 0 when there is nothing to get, else 1.
import { escapeText, renderReport } from '@firmtally/core';
import { auditFolder } from '@firmtally/host';
import { run } from './run.mjs';

/** @type {import('@firmtally/core').ReportFormat} */
const shoppingList = {
  name: 'shopping',
  extension: 'tsv',
  mediaType: 'text/tab-separated-values',
  purpose: 'What is to get, for a spreadsheet',
  carries: ['toGet', 'expected'],
  // The view has chosen, ordered and worded everything; a format only lays it out.
  render: ({ toGet }) =>
    toGet
      .flatMap(({ files, systems }) =>
        files.map(({ path, dumps }) => {
          const [first] = dumps;
          const checksum = first?.checksum?.digest ?? 'no checksum known';
          // Names come from outside: an escaped one holds neither tab nor line end.
          return [path, checksum, systems.join(', ')].map(escapeText).join('\t');
        }),
      )
      .map((line) => `${line}\n`)
      .join(''),
};

await run(async () => {
  const [root, manifest] = process.argv.slice(2);
  if (root === undefined || manifest === undefined) throw new Error('usage: FOLDER MANIFEST');
  const report = await auditFolder(root, { manifests: [manifest] });
  process.stdout.write(renderReport(report, shoppingList));
  return report.toGet.length === 0 ? 0 : 1;
});
