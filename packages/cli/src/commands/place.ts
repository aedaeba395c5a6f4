import type { Command } from '../command.js';
import { MANIFEST_OPTION, SYSTEM_OPTIONS } from '../selection-options.js';
import { ownOptionsFirst } from '../option-groups.js';
import { loadManifests } from '../load-manifests.js';
import { FORMATS, placeOptions } from '../place/options.js';
import { runPlace } from '../place/run-place.js';

export const command: Command = {
  positionals: '[source..]',
  options: (yargs) =>
    ownOptionsFirst(
      yargs
        .positional('source', {
          describe:
            'Files and folders to place from, ZIP files in them included; never modified. Files on the card itself are used without being named',
          type: 'string',
          array: true,
        })
        .option('onto', {
          describe: 'Folder of the card',
          type: 'string',
          nargs: 1,
          demandOption: 'place needs the card: --onto <folder>',
        })
        .option('manifest', {
          ...MANIFEST_OPTION,
          demandOption: 'place needs a manifest: -m <file>',
        })
        .options(SYSTEM_OPTIONS)
        .option('apply', {
          describe: 'Do it; without this the plan is printed and nothing is written',
          type: 'boolean',
        })
        .option('repair', {
          describe: 'Also write corrected copies of damaged files, where digests prove them right',
          type: 'boolean',
        })
        .option('cluster', {
          describe: 'Cluster size of the card, for example 16K, when planning for another one',
          type: 'string',
          nargs: 1,
        })
        .option('format', {
          describe: 'How to print the plan',
          choices: FORMATS,
          default: 'text',
          nargs: 1,
        })
        .example('$0 place pile --onto /media/card -m tern.yaml', 'What would be done')
        .example('$0 place pile --onto /media/card -m tern.yaml --apply', 'Do it')
        .example(
          '$0 place pile --onto /media/card -m tern.yaml --repair',
          'Also undo damage that is understood',
        )
        .epilogue(
          [
            'Nothing is overwritten or deleted: a file in the way moves to firmtally-kept/ on the card. It can be stopped at any point and run again.',
            'Exit code: a plan: 0 nothing needs doing, 1 something does or is not available; --apply: 0 all selected systems are ready, 1 some are not; 2 trouble.',
          ].join('\n'),
        ),
    ),
  run: async (args, context) => {
    const options = placeOptions(args);
    return runPlace(options, await loadManifests(options.manifests, context), context);
  },
};
