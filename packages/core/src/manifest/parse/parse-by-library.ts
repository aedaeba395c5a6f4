import { Composer, Lexer, Parser, type CST, type Document } from 'yaml';
import { MAX_DEPTH, MAX_LEXEMES } from '../limits.js';
import type { ProblemList } from '../rules/problem-list.js';
import type { Suggester } from '../rules/suggester.js';
import { emptyManifest, severalDocuments, tooLarge } from '../rules/whole-file.js';
import { tooDeep } from '../rules/yaml.js';
import type { ParsedManifest } from './parsed.js';
import type { SourceText } from './source-text.js';
import { reportSyntaxErrors } from './syntax-errors.js';
import { toValue } from './to-value.js';

/** Parses YAML by way of the yaml library, and reports what is wrong. Null when there is nothing to go on with. */
export function parseByLibrary(
  source: SourceText,
  problems: ProblemList,
  suggester: Suggester,
): ParsedManifest | null {
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
