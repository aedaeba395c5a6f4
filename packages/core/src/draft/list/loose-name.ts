import { leftOutFor, type LeftOutReason } from '../../facts/left-out.js';
import type { Token } from './loose-tokens.js';
import { looksLikeFile, trimMarks } from './name.js';

/** The name of the file a line is about, or why it cannot be told. */
export type FoundName = { readonly name: string } | LeftOutReason;

const UNCLEAR = leftOutFor('unclear-name', {});

/** Words of a sentence about a file. One of them among a name's words leaves the name unclear. */
const SENTENCE_WORDS = new Set(
  (
    'a an and also are aka as at be been by can check copy correct download for from get goes good grab has have hey ' +
    'here i if in into is it its known matches must my named called need needed needs no not of on or ' +
    'our ok oh optional optionally please put rename required should that the their then there these this those to use used uses using verify ' +
    'was we which will with without you your file files'
  ).split(' '),
);

/** Finds the one file's name in a line of loose text. */
export function findName(line: string, tokens: readonly Token[]): FoundName {
  const quoted = tokens.filter(({ kind }) => kind === 'quoted');
  if (quoted.length > 0) {
    const [first] = quoted;
    return quoted.length === 1 && first !== undefined ? { name: first.value } : UNCLEAR;
  }
  const fields = fieldsOf(tokens);
  const withFile = fields.filter((field) => field.some(isFile));
  const [field] = withFile;
  if (withFile.length > 1) return UNCLEAR;
  if (field !== undefined) return nameIn(line, field);
  const [only] = fields;
  const [word] = only ?? [];
  if (fields.length === 1 && only?.length === 1 && word !== undefined && !isSentenceWord(word)) {
    const name = cleaned(word.value);
    if (/[\p{L}\p{N}]/u.test(name)) return { name };
  }
  return fields.length === 0 ? leftOutFor('no-name', { of: 'line' }) : UNCLEAR;
}

/** Runs of words that nothing sets apart. */
function fieldsOf(tokens: readonly Token[]): Token[][] {
  const fields: Token[][] = [];
  let current: Token[] | null = null;
  for (const token of tokens) {
    if (token.kind !== 'word') {
      current = null;
      continue;
    }
    if (current === null) fields.push((current = []));
    current.push(token);
  }
  return fields;
}

/** The name in a run of words one of which looks like a file's. */
function nameIn(line: string, field: readonly Token[]): FoundName {
  const index = field.findLastIndex(isFile);
  const file = field[index];
  const first = field[0];
  if (file === undefined || first === undefined) return UNCLEAR;
  const before = field.slice(0, index);
  if (before.some(isFile)) return UNCLEAR;
  if (before.every(isSentenceWord)) return { name: cleaned(file.value) };
  if (before.some(isSentenceWord) || !isAside(line, field.slice(index + 1))) {
    return UNCLEAR;
  }
  return { name: cleaned(line.slice(first.start, file.end)) };
}

function isFile({ value }: Token): boolean {
  return looksLikeFile(cleaned(value));
}

function isSentenceWord({ value }: Token): boolean {
  return SENTENCE_WORDS.has(cleaned(value).toLowerCase());
}

/** Nothing, or something in brackets, such as `(revision B)`. */
function isAside(line: string, words: readonly Token[]): boolean {
  const [first] = words;
  const last = words.at(-1);
  if (first === undefined || last === undefined) return true;
  return /^[([].*[)\]]$/su.test(line.slice(first.start, last.end));
}

/** Without the marks of a sentence or of emphasis around it; brackets stay when both are there. */
function cleaned(text: string): string {
  const plain = trimMarks(text, "'*<", "'*>.:");
  const opened = /^[([{]/u.test(plain) && !/[)\]}]/u.test(plain);
  const closed = /[)\]}]$/u.test(plain) && !/[([{]/u.test(plain);
  return plain.slice(opened ? 1 : 0, closed ? -1 : plain.length);
}
