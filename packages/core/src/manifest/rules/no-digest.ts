import { allDumps } from '../shape/dumps.js';
import type { CheckedRule } from './check.js';

export const noDigest: CheckedRule = {
  id: 'no-digest',
  severity: 'error',
  description: 'A dump gives at least one digest.',
  check({ files, complete, problems }) {
    if (!complete) return;
    for (const dump of allDumps(files)) {
      if (dump.namesDigest) continue;
      problems.add(noDigest, dump.spot, {
        message: 'This dump has no digest (crc32, md5, sha1 or sha256), so nothing can prove it.',
        advice: 'add one; or leave out dumps to check only that the file is there',
      });
    }
  },
};
