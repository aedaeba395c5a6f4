import type { Options } from '../command.js';

/** Options that every command takes. */
export const COMMON_OPTIONS = {
  output: {
    describe: 'Write the result to this file, whole or not at all, not to the screen',
    value: { name: '<file>' },
    alias: 'o',
  },
  color: { describe: 'Colour (default on a terminal, unless NO_COLOR is set)' },
  'no-color': { describe: 'No colour' },
  ascii: { describe: 'Draw with ASCII characters only' },
  quiet: { describe: 'No progress and no messages, only results', alias: 'q' },
  version: { describe: 'Show the version' },
  help: { describe: 'Show this help', alias: 'h' },
} as const satisfies Options;

/** `-m`, one file each time, so that what follows the file stays an operand. */
export const MANIFEST_OPTION = {
  manifest: {
    describe:
      'What is expected; may be given several times [default: firmtally.yaml, .yml or .json, here or on the card]',
    value: { name: '<manifest>', many: true },
    alias: 'm',
  },
} as const satisfies Options;

/** Which systems of the manifests count. */
export const SYSTEM_OPTIONS = {
  system: {
    describe: 'Only these systems (ids, comma-separated or repeated)',
    value: { name: '<id>', many: true, ids: 'systems' },
  },
  loadout: {
    describe: 'Only the systems of this loadout',
    value: { name: '<id>', ids: 'loadouts' },
  },
} as const satisfies Options;
