import { DIGEST_LENGTH } from '../../bytes/digests.js';
import { unescapeSumsName } from '../../digest/sums-format.js';
import { splitTagged } from '../../digest/sums-parse.js';
import { leftOutFor } from '../../facts/left-out.js';
import { plainRow, type LineOutcome } from './model.js';
import { toPath } from './name.js';
import { algorithmNamed, algorithmOfLength, wrongLength, wrongLengthOf } from './values.js';

/** What md5sum, sha1sum and sha256sum write: digest, space, space or asterisk, name. */
const SUMS = /^(\\?)([0-9A-Fa-f]{6,})[ ][ *](.+)$/su;

const DIGEST = '(?:[0-9A-Fa-f]{32}|[0-9A-Fa-f]{40}|[0-9A-Fa-f]{64})';
const SIZE = "\\(?(?:size\\s?[:=]?\\s?)?[0-9][0-9,.']*\\s?(?:b|bytes|[kmg]i?b)?\\)?";
/**
 * Where the name would be, or after it, a size or a further checksum in a
 * column of its own, or a name in quotes that is not all: loose text.
 */
const COLUMN_FIRST = new RegExp(
  `^\\s*(?:[0-9]+(?:\\s{2}|\\t)|(?:[0-9A-Fa-f]{8}|${DIGEST})\\s|(?:md5|sha-?1|sha-?256|crc-?32|size)\\s?[:=])|^"[^"]+"\\s`,
  'iu',
);
const COLUMN_LAST = new RegExp(`(?:\\s{2}|\\t)(?:${SIZE}|[0-9A-Fa-f]{8})$|\\s${DIGEST}$`, 'iu');

function hasColumns(name: string): boolean {
  return COLUMN_FIRST.test(name) || COLUMN_LAST.test(name.slice(-80));
}

/**
 * Reads a line of a checksum list, as GNU coreutils writes it (manual, "md5sum
 * invocation") or as BSD's tools do (`MD5 (name) = digest`). Null when the line
 * is neither.
 */
export function readChecksumLine(line: string): LineOutcome | null {
  const sums = SUMS.exec(line);
  if (sums !== null) {
    const [, mark = '', digits = '', name = ''] = sums;
    if (mark === '' && hasColumns(name.trimEnd())) return null;
    if (/^[0-9A-Fa-f]{8} [0-9A-Fa-f]{8}$/u.test(`${digits} ${name.trim()}`)) {
      return leftOutFor('name-or-checksum', {});
    }
    return sumsRow(mark !== '', digits, name);
  }
  const escaped = line.startsWith('\\');
  const tagged = splitTagged(escaped ? line.slice(1) : line);
  if (tagged?.tag === undefined) return null;
  return taggedRow(tagged.tag, tagged.name, tagged.digest, escaped);
}

function sumsRow(escaped: boolean, digits: string, name: string): LineOutcome | null {
  const algorithm = algorithmOfLength(digits.length);
  if (algorithm === null) {
    // A word, or a plain number, is no checksum that went wrong.
    return /[0-9]/u.test(digits) && /[A-Fa-f]/u.test(digits) ? wrongLength(digits) : null;
  }
  return named(name, escaped, (path) => plainRow(path, { [algorithm]: digits.toLowerCase() }));
}

function taggedRow(
  tag: string,
  name: string,
  digest: string,
  escaped: boolean,
): LineOutcome | null {
  const algorithm = algorithmNamed(tag);
  if (algorithm === null) {
    return /[0-9]/u.test(tag) ? leftOutFor('other-algorithm', { algorithm: tag }) : null;
  }
  if (!/^[0-9A-Fa-f]+$/u.test(digest)) return leftOutFor('no-digits', { algorithm });
  if (digest.length !== DIGEST_LENGTH[algorithm]) {
    return wrongLengthOf(algorithm, digest);
  }
  return named(name, escaped, (path) => plainRow(path, { [algorithm]: digest.toLowerCase() }));
}

function named(name: string, escaped: boolean, row: (path: string) => LineOutcome): LineOutcome {
  const plain = escaped ? unescapeSumsName(name) : name.trimEnd();
  if (plain === null) return leftOutFor('bad-escape', {});
  const to = toPath(plain, escaped);
  return 'path' in to ? row(to.path) : to;
}

/**
 * Reads a line of a name and a CRC-32, as lists with `;` comments have them.
 * Null when it is no such line: several words of which the last is no file's
 * name are rather a sentence, and text set apart by wide gaps is a column.
 *
 * @param certain the list has `;` comments, so that a wide gap belongs to the name
 */
export function readNameLine(line: string, certain: boolean): LineOutcome | null {
  const trimmed = line.trimEnd();
  const digits = trimmed.slice(-8);
  const before = trimmed.slice(0, -8);
  const name = before.trimEnd();
  if (!/^[0-9A-Fa-f]{8}$/u.test(digits) || name === '' || name === before) return null;
  // Quotes, bullets and the like belong to loose text.
  if (/^\s*["'`\u201c[(<*\u2022-]|[:,;=|]$/u.test(name)) return null;
  if (!certain && /\t|\s{2}/u.test(name)) return null;
  // An ending of digits only is common for the chips of a board.
  if (/\s/u.test(name) && !/[^\s.]\.[A-Za-z0-9]{1,8}$/u.test(name)) return null;
  return named(name, false, (path) => plainRow(path, { crc32: digits.toLowerCase() }));
}
