import {
  identificationDocument,
  identifyPile,
  jsonText,
  type IdentificationDocument,
  type IdentifiedPile,
  type Manifest,
} from '@firmtally/core';
import { nativeDigestBytes, nativeDigestStream, zipReader } from '@firmtally/host';
import type { Command } from '../command.js';
import { paint, type Context } from '../context.js';
import { EXIT } from '../exit-code.js';
import { openPile } from '../identify/pile-sources.js';
import { loadManifests } from '../load-manifests.js';
import { MANIFEST_OPTION } from '../arguments/common-options.js';
import { startProgress } from '../terminal/progress.js';
import { pathMessage } from '../trouble-text.js';

const FORMATS = ['text', 'json'] as const;
type Format = (typeof FORMATS)[number];

export const command: Command = {
  operand: {
    name: 'source',
    describe: 'Files and folders; ZIP files are looked into',
    required: true,
    many: true,
  },
  options: {
    manifest: {
      ...MANIFEST_OPTION.manifest,
      describe: 'What is looked for; may be given several times',
      value: { ...MANIFEST_OPTION.manifest.value, required: true },
    },
    format: {
      describe: 'How to write the result',
      value: { name: '<format>', choices: FORMATS, default: 'text' },
    },
    all: { describe: 'List files that are not in the manifests too' },
  },
  examples: [
    ['firmtally identify ~/pile -m tern.yaml', 'What is in a pile of files and ZIPs'],
    ['firmtally identify boot.bin -m tern.yaml', 'What one file is, or what is wrong with it'],
  ],
  epilogue: [
    'Exit code: 0 every file was recognised; 1 some were not, or could not be read; 2 trouble.',
  ],
  prepare: (given) => {
    const format = given.choice('format', FORMATS);
    const all = given.flag('all');
    return async (context) => {
      const manifest = await loadManifests(given.texts('manifest'), context);
      const pile = await identify(given.operands, manifest, context);
      const document = identificationDocument(pile);
      await showFaults(document, context);
      await context.stdout.write(await render(document, manifest, { format, all }, context));
      const { files, recognised } = document.totals;
      return files === recognised && document.faults.length === 0 ? EXIT.good : EXIT.differs;
    };
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
