import type { Algorithm } from '../../digest/engine.js';
import { allDumps } from '../shape/dumps.js';
import type { CheckedRule } from './check.js';

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
