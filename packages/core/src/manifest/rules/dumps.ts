import type { WrittenDump } from '../written.js';
import { definition } from '../shape/schema-at.js';
import type { CheckedRule } from './rule.js';
import { allDumps, compareDumps, digestKeys, dumpLists } from './shared/dumps.js';

export const noDigest: CheckedRule = {
  id: 'no-digest',
  severity: 'error',
  description: 'A dump gives a digest, or at least a size.',
  check({ files, complete, problems }) {
    if (!complete) return;
    for (const dump of allDumps(files)) {
      if (dump.namesDigest || dump.namesSize) continue;
      problems.add(noDigest, dump.spot, {
        message: 'This dump has neither a digest nor a size.',
        advice: definition('dump').anyOf?.[0]?.errorMessage ?? null,
      });
    }
  },
};

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
