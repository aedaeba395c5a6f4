import { ALGORITHMS, DIGEST_LENGTH } from '../../digest/engine.js';
import { allDumps } from '../shape/dumps.js';
import type { CheckedRule } from './check.js';

export const digestCharacters: CheckedRule = {
  id: 'digest-characters',
  severity: 'error',
  description: 'A digest is written in hex digits only: 0-9 and a-f, in either case.',
  check({ files, problems }) {
    for (const { algorithm, value, spot } of allDumps(files).flatMap((dump) => dump.digests)) {
      if (isHex(value)) continue;
      problems.add(digestCharacters, spot, {
        message: fault(algorithm, value),
        suggestion: cleaned(value),
      });
    }
  },
};

export function isHex(text: string): boolean {
  return /^[0-9A-Fa-f]+$/.test(text);
}

function fault(algorithm: string, value: string): string {
  if (value === '') return `The ${algorithm} digest is empty text.`;
  if (/^0x/i.test(value)) return `The ${algorithm} digest starts with 0x; write only its digits.`;
  const wrong = /[^0-9A-Fa-f]/u.exec(value)?.[0] ?? '';
  return `The ${algorithm} digest holds "${wrong}", which is not a hex digit.`;
}

/** Without a prefix and the separators that tools put in; null when that does not make a digest either. */
function cleaned(value: string): string | null {
  const compact = value
    .trim()
    .replace(/^0x/i, '')
    .replaceAll(/[\s:_-]/g, '');
  const known = ALGORITHMS.some((name) => DIGEST_LENGTH[name] === compact.length);
  return known && isHex(compact) ? compact : null;
}
