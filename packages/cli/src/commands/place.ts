import { MANIFEST_OPTION, SYSTEM_OPTIONS } from '../arguments/common-options.js';
import type { Command } from '../command.js';
import { loadManifests } from '../load-manifests.js';
import { FORMATS, placeOptions } from '../place/options.js';
import { runPlace } from '../place/run-place.js';

export const command: Command = {
  operand: {
    name: 'source',
    describe:
      'Files and folders to place from, ZIP files in them included; never modified. Files on the card itself are used without being named',
    required: false,
    many: true,
    files: true,
  },
  options: {
    onto: { describe: 'Folder of the card', value: { name: '<folder>', required: true } },
    ...MANIFEST_OPTION,
    ...SYSTEM_OPTIONS,
    apply: { describe: 'Do it; without this the plan is printed and nothing is written' },
    repair: {
      describe: 'Also write corrected copies of damaged files, where digests prove them right',
    },
    anyway: {
      describe:
        'With --apply: place although the folder seems not to be the one the manifest means',
    },
    cluster: {
      describe: 'Cluster size of the card, for example 16K, when planning for another one',
      value: { name: '<size>' },
    },
    format: {
      describe: 'How to print the plan',
      value: { name: '<format>', choices: FORMATS, default: 'text' },
    },
  },
  examples: [
    ['firmtally place pile --onto /media/card -m tern.yaml', 'What would be done'],
    ['firmtally place pile --onto /media/card -m tern.yaml --apply', 'Do it'],
    [
      'firmtally place pile --onto /media/card -m tern.yaml --repair',
      'Also undo damage that is understood',
    ],
  ],
  epilogue: [
    'Nothing is overwritten or deleted: a file in the way moves to firmtally-kept/ on the card. It can be stopped at any point and run again.',
    'Exit code: a plan: 0 nothing needs doing, 1 something does or is not available; --apply: 0 all selected systems are ready, 1 some are not; 2 trouble, or a step that failed.',
  ],
  prepare: (given) => {
    const options = placeOptions(given);
    return async (context) =>
      runPlace(options, await loadManifests(options.manifests, [options.onto], context), context);
  },
};
