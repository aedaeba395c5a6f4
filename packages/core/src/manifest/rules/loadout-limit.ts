import { MAX_LOADOUT_ENTRIES } from '../limits.js';
import { layouts } from '../shape/homes.js';
import type { CheckedRule } from './check.js';

export const loadoutLimit: CheckedRule = {
  id: 'loadout-limit',
  severity: 'error',
  description: `Loadouts with a folder of their own name at most ${MAX_LOADOUT_ENTRIES} firmware, all together.`,
  check({ files, problems }) {
    const { leftOut } = layouts(files);
    if (leftOut === null) return;
    problems.add(loadoutLimit, leftOut.id.spot, {
      message: `The loadouts up to here name more than ${MAX_LOADOUT_ENTRIES} firmware, so the paths of the others cannot be checked.`,
      advice: 'split the manifest',
    });
  },
};
