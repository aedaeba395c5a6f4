import { jsonText, type IdentificationDocument, type Manifest } from '@firmtally/core';
import { identifyFiles } from '@firmtally/host';
import type { Command } from '../command.js';
import { paint, type Context } from '../context.js';
import { EXIT } from '../exit-code.js';
import { loadManifests } from '../load-manifests.js';
import { quoted } from '../quoted.js';
import { MANIFEST_OPTION } from '../arguments/common-options.js';
import { startProgress } from '../terminal/progress.js';
import { pathMessage } from '../trouble-text.js';

const FORMATS = ['text', 'json'] as const;
type Format = (typeof FORMATS)[number];

export const command: Command = {
  operand: {
    name: 'source',
    describe: 'Files and folders; ZIP and gzip files are looked into, two levels deep',
    required: true,
    many: true,
    files: true,
  },
  options: {
    manifest: {
      ...MANIFEST_OPTION.manifest,
      describe:
        'What is looked for; may be given several times [default: firmtally.yaml, .yml or .json here]',
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
    const paths = given.operands;
    const manifests = given.texts('manifest');
    return async (context) => {
      const manifest = await loadManifests(manifests, [], context);
      const document = await identify(paths, manifest, context);
      await showFaults(document, context);
      const options = { format, all, next: nextCommand(document, paths, manifests) };
      await context.stdout.write(await render(document, manifest, options, context));
      const { files, recognised } = document.totals;
      return files === recognised && document.faults.length === 0 ? EXIT.good : EXIT.differs;
    };
  },
};

async function identify(
  paths: readonly string[],
  manifest: Manifest,
  context: Context,
): Promise<IdentificationDocument> {
  const line = startProgress(context);
  try {
    return await identifyFiles(paths, {
      manifests: manifest,
      cwd: context.cwd,
      onProgress: line.show,
    });
  } finally {
    await line.stop();
  }
}

/** What puts the files where they belong; null when none of them can be put anywhere. */
function nextCommand(
  { files }: IdentificationDocument,
  paths: readonly string[],
  manifests: readonly string[],
): string | null {
  const repairs = files.some(({ advice }) => advice?.code === 'repair');
  const places =
    repairs ||
    files.some(({ firmware, advice }) => firmware.length > 0 || advice?.code === 'put-into-zip');
  if (!places) return null;
  return [
    'firmtally place',
    // Of a long list one sees nothing any more.
    ...(paths.length > 3 ? ['PILE'] : paths.map(quoted)),
    '--onto CARD',
    ...manifests.map((path) => `-m ${quoted(path)}`),
    ...(repairs ? ['--repair'] : []),
  ].join(' ');
}

async function showFaults(document: IdentificationDocument, context: Context): Promise<void> {
  if (context.quiet || document.faults.length === 0) return;
  const lines = document.faults.map(({ path, message }) => pathMessage(path, message));
  await context.stderr.write(lines.join(''));
}

async function render(
  document: IdentificationDocument,
  manifest: Manifest,
  options: { readonly format: Format; readonly all: boolean; readonly next: string | null },
  context: Context,
): Promise<string> {
  if (options.format === 'json') return jsonText(document);
  const { renderText } = await import('../identify/render-text.js');
  return renderText(document, manifest, {
    columns: context.columns,
    all: options.all,
    next: options.next,
    paint: (style, text) => paint(context, style, text),
  });
}
