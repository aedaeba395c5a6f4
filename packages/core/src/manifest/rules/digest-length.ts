import { ALGORITHMS, DIGEST_LENGTH } from '../../digest/engine.js';
import { allDumps } from '../shape/dumps.js';
import type { CheckedRule } from './check.js';
import { isHex } from './digest-characters.js';

export const digestLength: CheckedRule = {
  id: 'digest-length',
  severity: 'error',
  description: 'A digest has as many hex digits as its algorithm gives: 8, 32, 40 or 64.',
  check({ files, problems }) {
    for (const { algorithm, value, spot } of allDumps(files).flatMap((dump) => dump.digests)) {
      const wanted = DIGEST_LENGTH[algorithm];
      if (!isHex(value) || value.length === wanted) continue;
      const other = ALGORITHMS.find((name) => DIGEST_LENGTH[name] === value.length);
      problems.add(digestLength, spot, {
        message: `The ${algorithm} digest should have ${wanted} hex digits, but has ${value.length}.`,
        suggestion:
          other === undefined
            ? value.length < wanted && wanted - value.length <= 2 && algorithm === 'crc32'
              ? value.padStart(wanted, '0')
              : null
            : `${other}: ${value}`,
      });
    }
  },
};
