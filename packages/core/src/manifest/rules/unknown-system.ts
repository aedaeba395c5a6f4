import type { CheckedRule } from './check.js';
import { isSectionDamaged } from './damaged-section.js';
import { isId } from '../shape/id.js';

export const unknownSystem: CheckedRule = {
  id: 'unknown-system',
  severity: 'error',
  description: 'A loadout names only systems that one of the manifests defines.',
  check({ files, complete, problems, suggester }) {
    if (!complete || isSectionDamaged(problems.all, 'systems')) return;
    const known = new Set(files.flatMap((file) => file.systems.map(({ id }) => id.value)));
    for (const loadout of files.flatMap((file) => file.loadouts)) {
      for (const id of loadout.systems) {
        if (known.has(id.value) || !isId(id.value)) continue;
        problems.add(unknownSystem, id.spot, {
          message: `No system "${id.value}" is defined.`,
          suggestion: suggester.nearest(id.value, known),
        });
      }
    }
  },
};
