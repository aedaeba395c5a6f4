import { isId } from '../shape/id.js';
import { firmwareNamedBy } from '../written.js';
import type { CheckedRule } from './check.js';
import { hasDamage } from './damaged-section.js';
import { unknownFirmware } from './unknown-firmware.js';

export const unusedFirmware: CheckedRule = {
  id: 'unused-firmware',
  severity: 'warning',
  description: 'Every firmware is named by a system.',
  check({ files, complete, problems }) {
    // A reference that could not be read may have been to any of them.
    if (!complete || hasDamage(problems.all, 'systems')) return;
    const named = new Set(
      files
        .flatMap((file) => file.systems)
        .flatMap(firmwareNamedBy)
        .map(({ value }) => value),
    );
    for (const { rule, suggestion } of problems.all) {
      // Most likely named, with a slip that has been reported.
      if (rule === unknownFirmware.id && suggestion !== null) named.add(suggestion);
    }
    for (const { id } of files.flatMap((file) => file.firmware)) {
      if (named.has(id.value) || !isId(id.value)) continue;
      problems.add(unusedFirmware, id.spot, {
        message: `No system names the firmware "${id.value}", so it is never checked.`,
      });
    }
  },
};
