import { allDumps } from '../shape/dumps.js';
import type { CheckedRule } from './check.js';

export const zeroSize: CheckedRule = {
  id: 'zero-size',
  severity: 'warning',
  description: 'A dump is larger than 0 bytes.',
  check({ files, problems }) {
    for (const { size } of allDumps(files)) {
      if (size?.value !== 0) continue;
      problems.add(zeroSize, size.spot, {
        message: 'A size of 0 bytes accepts only an empty file, which is never firmware.',
      });
    }
  },
};
