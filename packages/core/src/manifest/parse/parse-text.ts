import { Composer, Lexer, Parser, type CST, type Document } from 'yaml';
import { MAX_DEPTH, MAX_LEXEMES } from '../limits.js';
import type { SourceText } from './source-text.js';
import { jsonValue } from './json-value.js';
import { plainYaml } from './plain-yaml.js';
import { reportSyntaxErrors } from './syntax-errors.js';
import { toValue, type ParsedValue } from './to-value.js';
import type { ProblemList } from '../rules/problem-list.js';
import type { Suggester } from '../rules/suggester.js';
import { emptyManifest, notAManifest, severalDocuments, tooLarge } from '../rules/whole-file.js';
import { tooDeep } from '../rules/yaml.js';

/** A manifest's content as plain values that remember where they were written. */
export interface ParsedManifest extends ParsedValue {
  readonly source: SourceText;
  /** Offsets. */
  readonly syntaxErrors: readonly number[];
}

/**
 * Parses YAML 1.2 or JSON. Every scalar stays the text that was written, so
 * that digests like `00001234` or `1e100000` survive; only the keys that hold
 * whole numbers are converted. Null when there is nothing to go on with.
 */
export function parseText(
  source: SourceText,
  problems: ProblemList,
  suggester: Suggester,
): ParsedManifest | null {
  const json = jsonValue(source.text);
  if (json !== null) return { ...json, source, syntaxErrors: [] };
  if (isSomethingElse(source.text)) {
    problems.add(
      notAManifest,
      { source, range: { start: 0, end: 0 }, pointer: '' },
      {
        message: 'This is no manifest: it has none of the keys firmtally, firmware and systems.',
        advice: 'check that it is the right file',
      },
    );
    return null;
  }
  const plain = plainYaml(source.text);
  if (plain !== null) return { ...plain, source, syntaxErrors: [] };
  const tokens = tokenize(source, problems);
  if (tokens === null) return null;
  const documents = [
    ...new Composer({
      schema: 'failsafe',
      resolveKnownTags: false,
      // Found while walking, where the first place is known.
      uniqueKeys: false,
      prettyErrors: false,
      // Warnings are of tags, which are read from the problems' codes.
      logLevel: 'error',
    }).compose(tokens, false, source.text.length),
  ] as Document.Parsed[];
  const syntaxErrors = reportSyntaxErrors(source, documents, tokens, problems);
  // The concrete syntax is as large as everything made from it, and not needed any more.
  tokens.length = 0;
  const full = documents.filter((document) => !isEmpty(document));
  const [first, second] = full;
  if (first === undefined) {
    if (syntaxErrors.length === 0) {
      problems.add(
        emptyManifest,
        { source, range: { start: 0, end: 0 }, pointer: '' },
        {
          message: 'There is nothing in this file.',
          advice: 'a manifest starts with: firmtally: 1',
        },
      );
    }
    return null;
  }
  if (second !== undefined) {
    const start = second.contents?.range[0] ?? second.range[0];
    problems.add(
      severalDocuments,
      { source, range: { start, end: start + 1 }, pointer: '' },
      {
        message: 'A second YAML document starts here; only the first is read.',
        advice: 'put it into a file of its own, or remove the line ---',
      },
    );
  }
  const parsed = toValue(source, first.contents, problems, suggester, syntaxErrors);
  return parsed === null
    ? null
    : { ...parsed, source, syntaxErrors, damaged: syntaxErrors.length > 0 || parsed.damaged };
}

/**
 * Whether a text is surely something else, say a log: none of the keys every
 * manifest has is in it. A short one is read all the same, as what stands in
 * it may be a manifest just begun.
 */
function isSomethingElse(text: string): boolean {
  return text.length > SHORT && !/\b(?:firmtally|firmware|systems)["']?[ \t\r\n]{0,20}:/.test(text);
}

const SHORT = 4096;

/** A document of nothing but comments: what stands before a `---` or after a `...`. */
function isEmpty(document: Document.Parsed): boolean {
  const { contents } = document;
  if (contents === null) return true;
  return 'source' in contents && contents.source === '' && contents.range[0] === contents.range[1];
}

/**
 * The concrete syntax, given up on as soon as it nests too deep: the composer
 * recurses, and so does the lexer on one line of `- - - -`.
 */
function tokenize(source: SourceText, problems: ProblemList): CST.Token[] | null {
  const tokens: CST.Token[] = [];
  const parser = new Parser();
  let lexemes = 0;
  for (const lexeme of new Lexer().lex(source.text)) {
    for (const token of parser.next(lexeme)) tokens.push(token);
    if (++lexemes > MAX_LEXEMES) {
      const start = Math.min(parser.offset, source.text.length - 1);
      problems.add(
        tooLarge,
        { source, range: { start, end: start + 1 }, pointer: '' },
        {
          message: 'There are more words and marks in this file than any manifest has.',
          advice: 'check that it is the right file, or split it',
        },
      );
      return null;
    }
    // Two more: the document, and the scalar being read.
    if (parser.stack.length > MAX_DEPTH + 2) {
      const start = Math.max(0, parser.offset - 1);
      problems.add(
        tooDeep,
        { source, range: { start, end: start + 1 }, pointer: '' },
        {
          message: `Nesting goes deeper than ${MAX_DEPTH} levels here; a manifest needs 8.`,
          advice: 'check for brackets or indents that were never closed',
        },
      );
      return null;
    }
  }
  for (const token of parser.end()) tokens.push(token);
  return tokens;
}
