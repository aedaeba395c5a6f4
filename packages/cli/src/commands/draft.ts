import { basename, resolve } from 'node:path';
import {
  draftFolder,
  escapeText,
  FirmtallyError,
  MAX_MANIFEST_BYTES,
  renderDraftJson,
  renderDraftYaml,
  type Drafted,
} from '@firmtally/core';
import { createDigester, openFolder } from '@firmtally/host';
import { Arguments } from '../arguments.js';
import type { Command } from '../command.js';
import { ownOptionsFirst } from '../option-groups.js';
import type { Context } from '../context.js';
import { EXIT } from '../exit-code.js';
import { startProgress } from '../terminal/progress.js';

const FORMATS = ['yaml', 'json'] as const;

export const command: Command = {
  positionals: '<folder>',
  options: (yargs) =>
    ownOptionsFirst(
      yargs
        .positional('folder', {
          describe: 'Folder whose files are known to be good',
          type: 'string',
        })
        .option('format', {
          describe: 'How to write the manifest',
          choices: FORMATS,
          default: 'yaml',
          nargs: 1,
        })
        .example('$0 draft bios > tern.yaml', 'Begin a manifest with what works today')
        .epilogue(
          'Exit code: 0 every file is in the draft; 1 some are not, as said on stderr; 2 trouble.',
        ),
    ),
  run: async (args, context) => {
    const given = new Arguments(args, 'draft', 'folder');
    const folder = given.single('folder') ?? '';
    const format = given.single('format');
    const drafted = await draft(folder, context);
    await showLeftOut(drafted, context);
    if (drafted.firmware.length === 0) {
      throw new FirmtallyError(
        'usage',
        `${folder}: there is nothing to draft a manifest from`,
        'Name a folder that holds firmware files.',
      );
    }
    const text = format === 'json' ? renderDraftJson(drafted) : renderDraftYaml(drafted);
    if (Buffer.byteLength(text) > MAX_MANIFEST_BYTES) throw tooLarge(folder);
    await context.stdout.write(text);
    return drafted.leftOut.length === 0 ? EXIT.good : EXIT.differs;
  },
};

async function draft(path: string, context: Context): Promise<Drafted> {
  const absolute = resolve(context.cwd, path);
  const folder = await openFolder(absolute);
  const digester = createDigester(folder);
  const line = startProgress(context);
  try {
    return await draftFolder({
      folder,
      digester,
      name: basename(absolute) || 'the root folder',
      onBytes: (count) => line.advance(count),
    });
  } finally {
    await line.stop();
    await digester.close();
  }
}

/** Said even with --quiet: a draft that lacks a file looks complete. */
async function showLeftOut({ leftOut }: Drafted, context: Context): Promise<void> {
  const lines = leftOut.map(
    ({ path, reason }) => `firmtally: not drafted: ${escapeText(path)}: ${escapeText(reason)}\n`,
  );
  if (lines.length > 0) await context.stderr.write(lines.join(''));
}

function tooLarge(folder: string): FirmtallyError {
  return new FirmtallyError(
    'usage',
    `${folder}: the draft is larger than the ${MAX_MANIFEST_BYTES >> 20} MiB a manifest may have`,
    'Draft its sub-folders one by one; several manifests go together with -m.',
  );
}
