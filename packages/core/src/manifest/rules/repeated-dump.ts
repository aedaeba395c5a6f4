import type { WrittenDump } from '../written.js';
import { dumpLists } from '../shape/dumps.js';
import { compareDumps, digestKeys } from '../shape/same-dump.js';
import type { CheckedRule } from './check.js';

export const repeatedDump: CheckedRule = {
  id: 'repeated-dump',
  severity: 'warning',
  description: 'A dump stands once in its list.',
  check({ files, problems }) {
    for (const list of files.flatMap(dumpLists)) {
      const byDigest = new Map<string, WrittenDump>();
      for (const dump of list) {
        const keys = digestKeys(dump);
        const first = keys
          .map((key) => byDigest.get(key))
          .find((other) => other !== undefined && compareDumps(other, dump) === 'same');
        if (first !== undefined) {
          problems.add(repeatedDump, dump.spot, {
            message: 'This dump is already in the list; the same file would match both.',
            related: [{ message: 'the first one is here', spot: first.spot }],
          });
        }
        for (const key of keys) if (!byDigest.has(key)) byDigest.set(key, dump);
      }
    }
  },
};
