import type { WrittenDump } from '../written.js';
import { allDumps } from '../shape/dumps.js';
import { compareDumps, digestKeys } from '../shape/same-dump.js';
import type { CheckedRule } from './check.js';

/** Equal MD5 or SHA digests mean equal bytes, so everything else has to be equal too; CRC-32 is too short for that. */
export const contradictingDumps: CheckedRule = {
  id: 'contradicting-dumps',
  severity: 'warning',
  description: 'Dumps that share a digest agree in size and all other digests.',
  check({ files, problems }) {
    const byDigest = new Map<string, WrittenDump>();
    for (const dump of allDumps(files)) {
      const keys = digestKeys(dump).filter((key) => !key.startsWith('crc32:'));
      const first = keys
        .map((key) => byDigest.get(key))
        .find((other) => other !== undefined && compareDumps(other, dump) === 'contradict');
      if (first !== undefined) {
        problems.add(contradictingDumps, dump.spot, {
          message:
            'This dump shares a digest with another one but differs in size or another digest, so one of the two has a slip.',
          related: [{ message: 'the other one is here', spot: first.spot }],
        });
      }
      for (const key of keys) if (!byDigest.has(key)) byDigest.set(key, dump);
    }
  },
};
