import { allDumps } from '../shape/dumps.js';
import type { CheckedRule } from './check.js';

export const noDigest: CheckedRule = {
  id: 'no-digest',
  severity: 'error',
  description: 'A dump gives a digest, or at least a size.',
  check({ files, complete, problems }) {
    if (!complete) return;
    for (const dump of allDumps(files)) {
      if (dump.namesDigest || dump.namesSize) continue;
      problems.add(noDigest, dump.spot, {
        message: 'This dump has neither a digest (crc32, md5, sha1 or sha256) nor a size.',
        advice: 'add one; or leave out dumps to check only that the file is there',
      });
    }
  },
};
