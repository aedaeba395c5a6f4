import type { Options } from 'yargs';

/** `-m`, one file each time, so that what follows the file stays an operand. */
export const MANIFEST_OPTION = {
  alias: 'm',
  describe: 'What is expected; may be given several times',
  type: 'string',
  array: true,
  nargs: 1,
} as const satisfies Options;

/** Which systems of the manifests count. */
export const SYSTEM_OPTIONS = {
  system: {
    describe: 'Only these systems (ids, comma-separated or repeated)',
    type: 'string',
    array: true,
    nargs: 1,
  },
  loadout: {
    describe: 'Only the systems of this loadout',
    type: 'string',
    nargs: 1,
  },
} as const satisfies Record<string, Options>;
