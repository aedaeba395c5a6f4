import type { Command } from '../command.js';
import { runDraft } from '../draft/run-draft.js';

const FORMATS = ['yaml', 'json'] as const;

export const command: Command = {
  operand: {
    name: 'source',
    describe: 'Folders, files and ZIPs known to be good; with --list: posted lists',
    required: true,
    many: true,
    files: true,
  },
  options: {
    list: { describe: 'Sources are lists of names and checksums (text, CSV, Markdown, JSON)' },
    folder: {
      describe: 'Folder the files belong in, from the root; . is the root',
      value: { name: '<folder>' },
    },
    system: {
      describe: 'Id of the one system that all files are for',
      value: { name: '<id>' },
    },
    into: {
      describe: 'Add to this manifest, and write it as a whole; comments stay',
      value: { name: '<manifest>' },
    },
    whole: { describe: 'Draft ZIPs as files, not by their members' },
    format: {
      describe: 'How to write the manifest (default: yaml, or as --into is)',
      value: { name: '<format>', choices: FORMATS },
    },
  },
  examples: [
    ['firmtally draft bios -o tern.yaml', 'Begin a manifest with what works today'],
    ['firmtally draft --list posted.csv -o tern.yaml', 'Begin one with what somebody posted'],
  ],
  epilogue: [
    'Exit code: 0 all of it is in the draft; 1 some is not, as said on stderr; 2 trouble.',
  ],
  prepare: (given) => {
    const request = {
      sources: given.operands,
      list: given.flag('list'),
      whole: given.flag('whole'),
      folder: given.text('folder'),
      system: given.text('system'),
      into: given.text('into'),
      output: given.text('output'),
      format: given.text('format') === null ? null : given.choice('format', FORMATS),
    };
    return (context) => runDraft(request, context);
  },
};
