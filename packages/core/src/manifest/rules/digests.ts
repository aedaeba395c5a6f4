import { ALGORITHMS, DIGEST_LENGTH, type Algorithm } from '../../bytes/digests.js';
import { withoutQuotes } from '../shape/meant.js';
import type { CheckedRule } from './rule.js';
import { allDumps } from './shared/dumps.js';

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

function isHex(text: string): boolean {
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
  const compact = (withoutQuotes(value) ?? value)
    .trim()
    .replace(/^0x/i, '')
    .replaceAll(/[\s:_-]/g, '');
  const known = ALGORITHMS.some((name) => DIGEST_LENGTH[name] === compact.length);
  return known && isHex(compact) ? compact : null;
}

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

export const emptyInputDigest: CheckedRule = {
  id: 'empty-input-digest',
  severity: 'warning',
  description: 'A digest is not the well-known one of an empty file.',
  check({ files, problems }) {
    for (const { algorithm, value, spot } of allDumps(files).flatMap((dump) => dump.digests)) {
      if (value.toLowerCase() !== OF_NOTHING[algorithm]) continue;
      problems.add(emptyInputDigest, spot, {
        message: `This is the ${algorithm} digest of an empty file; the file it was made from was probably lost or not read.`,
      });
    }
  },
};

/** Digests of zero bytes. */
const OF_NOTHING: Readonly<Record<Algorithm, string>> = {
  // CRC-32 (ISO-HDLC): initial value and final XOR cancel out.
  crc32: '00000000',
  // RFC 1321, A.5: MD5 ("").
  md5: 'd41d8cd98f00b204e9800998ecf8427e',
  // FIPS 180-4 algorithm, empty message; NIST CAVP SHA1ShortMsg.rsp, Len = 0.
  sha1: 'da39a3ee5e6b4b0d3255bfef95601890afd80709',
  // The same, NIST CAVP SHA256ShortMsg.rsp, Len = 0.
  sha256: 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855',
};
