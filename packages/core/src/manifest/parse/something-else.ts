import type { Finding } from '../rules/problem-list.js';
import type { Rule } from '../problem.js';
import { notAManifest, postedList } from '../rules/whole-file.js';

/**
 * What a text is that is surely no manifest; null when it may be one. A short
 * one is read all the same, as what stands in it may be a manifest just begun.
 */
export function somethingElse(text: string): { rule: Rule; finding: Finding } | null {
  if (/^\s{0,100}<[!?A-Za-z]/.test(text)) {
    return {
      rule: notAManifest,
      finding: {
        message: 'This is a web page or XML, not a manifest.',
        advice: 'check that it is the right file',
      },
    };
  }
  // A manifest is no list, whatever its items have in them.
  const isManifest =
    !/^\s{0,100}\[/.test(text) &&
    (text.includes('firmtally') || /^\s{0,100}\{/.test(text) || KEY.test(text));
  if (isManifest) return null;
  if (isList(text)) {
    return {
      rule: postedList,
      finding: {
        message: 'This is a list of names and checksums, not a manifest.',
        advice: 'draft a manifest from the list',
      },
    };
  }
  if (text.length <= SHORT || HAS_KEY.test(text)) return null;
  return {
    rule: notAManifest,
    finding: {
      message: 'This is no manifest: it has none of the keys firmtally, firmware and systems.',
      advice: 'check that it is the right file',
    },
  };
}

const SHORT = 4096;

/** A key of a manifest that no list has, at the start of a line. */
const KEY =
  /^[ \t]{0,40}(?:-[ ])?\{?[ \t]{0,40}["']?(?:firmtally|firmware|systems|loadouts|dumps|members|requires)["']?[ \t]{0,20}:/m;

/** One of the keys every manifest has, anywhere. */
const HAS_KEY = /\b(?:firmtally|firmware|systems)["']?[ \t\r\n]{0,20}:/;

/**
 * Whether a line of the text has a digest beside what is surely a file's name;
 * in an array of JSON they may stand on two. Hex digits alone may be anything.
 */
function isList(text: string): boolean {
  if (/^\s{0,100}\[\s{0,100}\{/.test(text)) return DIGEST.test(text);
  let start = 0;
  for (let lines = 0; lines < MOST_LINES && start < text.length; lines++) {
    const end = text.indexOf('\n', start);
    const line = text.slice(start, Math.min(end === -1 ? text.length : end, start + LONG));
    if (DIGEST.test(line) && (NAME.test(line) || CHECKSUM_LINE.test(line))) return true;
    if (end === -1) break;
    start = end + 1;
  }
  return false;
}

/** Lines in which the first entry of a list is looked for, and characters of one. */
const MOST_LINES = 200;
const LONG = 1000;

/** 8, 32, 40 or 64 hex digits, not in a longer word. */
const DIGEST =
  /(?<![0-9A-Za-z])(?:[0-9A-Fa-f]{8}|[0-9A-Fa-f]{32}|[0-9A-Fa-f]{40}|[0-9A-Fa-f]{64})(?![0-9A-Za-z])/;

/** As checksum tools write it, whatever the name. */
const CHECKSUM_LINE = /^\\?[0-9A-Fa-f]{32,64} [ *]\S|^[A-Z0-9-]{3,8} ?\(.{1,500}\) ?= [0-9A-Fa-f]/;

/** A name with an ending. */
const NAME = /[^\s.,;:|"'()[\]]\.[0-9A-Za-z]{1,5}(?![0-9A-Za-z])/;
