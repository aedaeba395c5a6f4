import { Arguments } from '../arguments.js';
import type { Command } from '../command.js';
import { runDraft } from '../draft/run-draft.js';
import { ownOptionsFirst } from '../option-groups.js';

const FORMATS = ['yaml', 'json'] as const;

export const command: Command = {
  positionals: '<source..>',
  options: (yargs) =>
    ownOptionsFirst(
      yargs
        .positional('source', {
          describe: 'Folders, files and ZIPs known to be good; with --list: posted lists',
          type: 'string',
          array: true,
        })
        .option('list', {
          describe: 'Sources are lists of names and checksums (text, CSV, Markdown, JSON)',
          type: 'boolean',
        })
        .option('folder', {
          describe: 'Folder the files belong in, from the root; . is the root',
          type: 'string',
          nargs: 1,
        })
        .option('system', {
          describe: 'Id of the one system that all files are for',
          type: 'string',
          nargs: 1,
        })
        .option('into', {
          describe: 'Add to this manifest, and write it as a whole; comments stay',
          type: 'string',
          nargs: 1,
        })
        .option('whole', {
          describe: 'Draft ZIPs as files, not by their members',
          type: 'boolean',
        })
        .option('format', {
          describe: 'How to write the manifest (default: yaml, or as --into is)',
          choices: FORMATS,
          nargs: 1,
        })
        .example('$0 draft bios > tern.yaml', 'Begin a manifest with what works today')
        .example('$0 draft --list posted.csv > tern.yaml', 'Begin one with what somebody posted')
        .epilogue(
          'Exit code: 0 all of it is in the draft; 1 some is not, as said on stderr; 2 trouble.',
        ),
    ),
  run: (args, context) => {
    const given = new Arguments(args, 'draft', 'source');
    return runDraft(
      {
        sources: given.names('source'),
        list: given.flag('list'),
        whole: given.flag('whole'),
        folder: given.single('folder'),
        system: given.single('system'),
        into: given.single('into'),
        format: given.single('format') as (typeof FORMATS)[number] | null,
      },
      context,
    );
  },
};
