import {
  identificationDocument,
  identifyPile,
  jsonText,
  type IdentificationDocument,
  type IdentifiedPile,
  type Manifest,
} from '@firmtally/core';
import { nativeDigestBytes, nativeDigestStream, zipReader } from '@firmtally/host';
import { Arguments } from '../arguments.js';
import type { Command } from '../command.js';
import { ownOptionsFirst } from '../option-groups.js';
import { paint, type Context } from '../context.js';
import { EXIT } from '../exit-code.js';
import { openPile } from '../identify/pile-sources.js';
import { loadManifests } from '../load-manifests.js';
import { MANIFEST_OPTION } from '../selection-options.js';
import { startProgress } from '../terminal/progress.js';
import { pathMessage } from '../trouble-text.js';

const FORMATS = ['text', 'json'] as const;
type Format = (typeof FORMATS)[number];

export const command: Command = {
  positionals: '<source..>',
  options: (yargs) =>
    ownOptionsFirst(
      yargs
        .positional('source', {
          describe: 'Files and folders; ZIP files are looked into',
          type: 'string',
          array: true,
        })
        .option('manifest', {
          ...MANIFEST_OPTION,
          describe: 'What is looked for; may be given several times',
          demandOption: 'identify needs a manifest: -m <file>',
        })
        .option('format', {
          describe: 'How to write the result',
          choices: FORMATS,
          default: 'text',
          nargs: 1,
        })
        .option('all', {
          describe: 'List files that are not in the manifests too',
          type: 'boolean',
        })
        .example('$0 identify ~/pile -m tern.yaml', 'What is in a pile of files and ZIPs')
        .example('$0 identify boot.bin -m tern.yaml', 'What one file is, or what is wrong with it')
        .epilogue(
          'Exit code: 0 every file was recognised; 1 some were not, or could not be read; 2 trouble.',
        ),
    ),
  run: async (args, context) => {
    const given = new Arguments(args, 'identify', 'source');
    const format = given.single('format') as Format;
    const manifest = await loadManifests(given.names('manifest'), context);
    const pile = await identify(given.names('source'), manifest, context);
    const document = identificationDocument(pile);
    await showFaults(document, context);
    await context.stdout.write(
      await render(document, manifest, { format, all: given.flag('all') }, context),
    );
    const { files, recognised } = document.totals;
    return files === recognised && document.faults.length === 0 ? EXIT.good : EXIT.differs;
  },
};

async function identify(
  paths: readonly string[],
  manifest: Manifest,
  context: Context,
): Promise<IdentifiedPile> {
  const pile = await openPile(paths, context);
  const line = startProgress(context);
  let bytes = 0;
  try {
    return await identifyPile({
      sources: pile.sources,
      manifest,
      archives: zipReader,
      digestStream: nativeDigestStream,
      digestBytes: nativeDigestBytes,
      onProgress: (progress) => {
        line.advance(progress.bytes - bytes);
        bytes = progress.bytes;
        line.at(`file ${progress.files} of ${progress.totalFiles}`);
      },
    });
  } finally {
    await line.stop();
    await pile.close();
  }
}

async function showFaults(document: IdentificationDocument, context: Context): Promise<void> {
  if (context.quiet || document.faults.length === 0) return;
  const lines = document.faults.map(({ path, message }) => pathMessage(path, message));
  await context.stderr.write(lines.join(''));
}

async function render(
  document: IdentificationDocument,
  manifest: Manifest,
  options: { readonly format: Format; readonly all: boolean },
  context: Context,
): Promise<string> {
  if (options.format === 'json') return jsonText(document);
  const { renderText } = await import('../identify/render-text.js');
  return renderText(document, manifest, {
    columns: context.columns,
    all: options.all,
    paint: (style, text) => paint(context, style, text),
  });
}
