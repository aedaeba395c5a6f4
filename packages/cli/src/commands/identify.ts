import { basename } from 'node:path';
import {
  jsonText,
  pileViewOf,
  type IdentificationDocument,
  type Manifest,
  type PileView,
} from '@firmtally/core';
import { identifyFiles } from '@firmtally/host';
import type { Command } from '../command.js';
import { paint, type Context } from '../context.js';
import { EXIT } from '../exit-code.js';
import { loadManifests } from '../load-manifests.js';
import { quoted } from '../quoted.js';
import { MANIFEST_OPTION } from '../arguments/common-options.js';
import { startProgress } from '../terminal/progress.js';
import { noticesTo, pathMessage } from '../trouble-text.js';

const FORMATS = ['text', 'json'] as const;
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
        'What is looked for; may be given several times [default: firmtally.yaml, .yml or .json, here or in a source]',
    },
    format: {
      describe: 'How to write the result',
      value: { name: '<format>', choices: FORMATS, default: 'text' },
    },
    all: { describe: 'Also list files that are not in the manifest, and every copy' },
  },
  examples: [
    ['firmtally identify ~/pile -m tern.yaml', 'What is in a pile of files and ZIPs'],
    ['firmtally identify boot.bin -m tern.yaml', 'What one file is, or what is wrong with it'],
  ],
  epilogue: [
    'Exit code: 0 every file was recognised; 1 some were not or could not be read, or there are none; 2 trouble.',
  ],
  prepare: (given) => {
    const format = given.choice('format', FORMATS);
    const all = given.flag('all');
    const paths = given.operands;
    const manifests = given.texts('manifest');
    return async (context) => {
      const manifest = await loadManifests(manifests, paths, context);
      const document = await identify(paths, manifest, context);
      await showFaults(document, context);
      // What `place` would look for elsewhere has to be named to it.
      const found =
        manifests.length > 0
          ? manifests
          : manifest.sources.map(({ path }) => path).filter((path) => path !== basename(path));
      const text =
        format === 'json'
          ? jsonText(document)
          : await viewText(
              pileViewOf(document, manifest),
              { paths, all, manifests: found },
              context,
            );
      await context.stdout.write(text);
      const { files, recognised } = document.totals;
      const isGood = files > 0 && files === recognised && document.faults.length === 0;
      return isGood ? EXIT.good : EXIT.differs;
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
      onNotice: noticesTo(context),
    });
  } finally {
    await line.stop();
  }
}

/** What puts the files where they belong; null when none of them can be put anywhere. */
function nextCommand(
  { placing }: PileView,
  paths: readonly string[],
  manifests: readonly string[],
): string | null {
  if (placing === 'nothing') return null;
  return [
    'firmtally place',
    // Of a long list one sees nothing any more.
    ...(paths.length > 3 ? ['PILE'] : paths.map(quoted)),
    '--onto CARD',
    ...manifests.map((path) => `-m ${quoted(path)}`),
    ...(placing === 'with-repair' ? ['--repair'] : []),
  ].join(' ');
}

async function showFaults(document: IdentificationDocument, context: Context): Promise<void> {
  if (context.quiet || document.faults.length === 0) return;
  const lines = document.faults.map(({ path, message }) => pathMessage(path, message));
  await context.stderr.write(lines.join(''));
}

async function viewText(
  view: PileView,
  {
    paths,
    all,
    manifests,
  }: {
    readonly paths: readonly string[];
    readonly all: boolean;
    readonly manifests: readonly string[];
  },
  context: Context,
): Promise<string> {
  const { renderText } = await import('../identify/render-text.js');
  return renderText(view, {
    columns: context.columns,
    all,
    next: nextCommand(view, paths, manifests),
    paint: (style, text) => paint(context, style, text),
  });
}
