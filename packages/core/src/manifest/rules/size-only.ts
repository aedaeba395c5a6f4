import { allDumps } from '../shape/dumps.js';
import type { CheckedRule } from './check.js';

export const sizeOnly: CheckedRule = {
  id: 'size-only',
  severity: 'warning',
  description: 'A dump gives a digest: a size alone proves nothing.',
  check({ files, complete, problems }) {
    // A digest may stand where the file could not be read.
    if (!complete) return;
    for (const dump of allDumps(files)) {
      if (dump.namesDigest || dump.size === null) continue;
      problems.add(sizeOnly, dump.spot, {
        message: 'This dump gives only a size; a file of that size may still hold anything.',
        advice: 'add a digest (crc32, md5, sha1 or sha256) when you can get one',
      });
    }
  },
};
