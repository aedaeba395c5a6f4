import { firmwareNamedBy } from '../written.js';
import type { CheckedRule } from './check.js';
import { isSectionDamaged } from './damaged-section.js';
import { isId } from '../shape/id.js';

export const unknownFirmware: CheckedRule = {
  id: 'unknown-firmware',
  severity: 'error',
  description: 'A system names only firmware that one of the manifests defines.',
  check({ files, complete, problems, suggester }) {
    if (!complete || isSectionDamaged(problems.all, 'firmware')) return;
    const known = new Set(files.flatMap((file) => file.firmware.map(({ id }) => id.value)));
    for (const system of files.flatMap((file) => file.systems)) {
      for (const id of firmwareNamedBy(system)) {
        if (known.has(id.value) || !isId(id.value)) continue;
        problems.add(unknownFirmware, id.spot, {
          message: `No firmware "${id.value}" is defined.`,
          suggestion: suggester.nearest(id.value, known),
        });
      }
    }
  },
};
