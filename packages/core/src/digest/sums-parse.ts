import { decodeWritten } from '../text/decode.js';
import { ALGORITHMS, DIGEST_LENGTH, type Algorithm } from '../bytes/digests.js';
import { unescapeSumsName } from './sums-format.js';

/** One file a checksum list names. */
export interface SumsEntry {
  /** Line in the list, from 1. */
  readonly line: number;
  readonly algorithm: Algorithm;
  /** Lower-case hex. */
  readonly digest: string;
  /** As listed, unescaped; bytes that are not UTF-8 as U+DCNN. */
  readonly path: string;
}

/** A line that is not an entry. */
export interface SumsProblem {
  /** Line in the list, from 1. */
  readonly line: number;
  /** One plain sentence. */
  readonly message: string;
}

/** Every line that was read is in `entries` or in `problems`, but for empty lines and `#` comments. */
export interface SumsList {
  readonly entries: readonly SumsEntry[];
  readonly problems: readonly SumsProblem[];
}

/** Malformed lines after which reading stops, so that a file that is no list cannot exhaust memory. */
const MAX_PROBLEMS = 10_000;

/**
 * Reads a checksum list: the coreutils lines, and the tagged lines of BSD,
 * OpenSSL and `--tag` (`MD5 (name) = hex`). The algorithm follows from the
 * digest's length, or from the tag. As in coreutils, empty lines and lines that
 * start with `#` are skipped and a carriage return at a line's end is dropped.
 * Bytes may be UTF-8 with or without a byte order mark, or UTF-16 with one
 * (what PowerShell's `>` writes). After 10,000 malformed lines a last problem
 * says that reading stopped. Never throws.
 *
 * @example
 * const { entries } = parseSums('900150983cd24fb0d6963f7d28e17f72  some.dat\n');
 * entries.map(({ path, algorithm }) => [path, algorithm]); // => [['some.dat', 'md5']]
 */
export function parseSums(list: string | Uint8Array): SumsList {
  const text = typeof list === 'string' ? list.replace(/^\ufeff/u, '') : decodeWritten(list);
  const entries: SumsEntry[] = [];
  const problems: SumsProblem[] = [];
  let number = 0;
  for (const raw of linesOf(text)) {
    number += 1;
    if (problems.length === MAX_PROBLEMS) {
      const message =
        'too many lines are malformed: this is no checksum list, the rest is not read';
      problems.push({ line: number, message });
      break;
    }
    const line = raw.endsWith('\r') ? raw.slice(0, -1) : raw;
    if (line === '' || line.startsWith('#')) continue;
    const read = parseLine(line);
    if (typeof read === 'string') problems.push({ line: number, message: read });
    else entries.push({ line: number, ...read });
  }
  return { entries, problems };
}

/** Lines without their newline, one at a time: a list may be nothing but newlines. */
function* linesOf(text: string): Generator<string> {
  let start = 0;
  for (let end = text.indexOf('\n'); end !== -1; end = text.indexOf('\n', start)) {
    yield text.slice(start, end);
    start = end + 1;
  }
  if (start < text.length) yield text.slice(start);
}

type Listed = Omit<SumsEntry, 'line'>;

export interface SumsParts {
  readonly tag: string | undefined;
  readonly name: string;
  /** Not checked yet. */
  readonly digest: string;
}

const PLAIN = /^(?<digest>[0-9A-Fa-f]+)[ \t][ *]?(?<name>.*)$/su;

function splitPlain(line: string): SumsParts | null {
  const found = PLAIN.exec(line)?.groups;
  if (found === undefined) return null;
  return { tag: undefined, name: found['name'] ?? '', digest: found['digest'] ?? '' };
}

/** `TAG (name) = digest`. Like coreutils the name ends at the last bracket; found without backtracking. */
export function splitTagged(line: string): SumsParts | null {
  const open = line.indexOf('(');
  const close = line.lastIndexOf(')');
  const tag = /^(?<tag>[A-Za-z0-9/-]+) ?$/u.exec(line.slice(0, Math.max(0, open)))?.groups?.['tag'];
  const digest = /^ ?= ?(?<digest>[^ ]*)$/u.exec(line.slice(close + 1))?.groups?.['digest'];
  if (tag === undefined || digest === undefined || close < open) return null;
  return { tag, name: line.slice(open + 1, close), digest };
}

/** The entry, or what is wrong with the line. */
function parseLine(line: string): Listed | string {
  const trimmed = line.replace(/^[ \t]+/u, '');
  const escaped = trimmed.startsWith('\\');
  const body = escaped ? trimmed.slice(1) : trimmed;
  const found = splitPlain(body) ?? splitTagged(body);
  if (found === null) return 'not a checksum line: expected a hex digest, two spaces and a name';
  const digest = found.digest.toLowerCase();
  const fault = digestFault(digest, found.tag);
  const algorithm = ALGORITHMS.find((name) => DIGEST_LENGTH[name] === digest.length);
  if (fault !== null || algorithm === undefined) return fault ?? WRONG_LENGTH;
  const path = escaped ? unescapeSumsName(found.name) : found.name;
  if (path === null) return 'the name has an escape other than \\\\, \\n and \\r';
  if (path === '') return 'the line names no file';
  if (path.includes('\0')) return 'the name holds a NUL byte';
  return { algorithm, digest, path };
}

const WRONG_LENGTH = `the digest's length is none of ${ALGORITHMS.map((name) => `${name} (${DIGEST_LENGTH[name]})`).join(', ')} hex digits`;

/** What is wrong with a digest, given the tag before it, if there is one. */
function digestFault(digest: string, tag: string | undefined): string | null {
  if (tag === undefined) return null;
  const name = ALGORITHMS.find((known) => known === tag.toLowerCase().replace('-', ''));
  if (name === undefined) {
    return `algorithm ${tag} is not supported; use one of ${ALGORITHMS.join(', ')}`;
  }
  const well = /^[0-9a-f]*$/u.test(digest) && digest.length === DIGEST_LENGTH[name];
  return well ? null : `not ${DIGEST_LENGTH[name]} hex digits, as ${tag} has`;
}
