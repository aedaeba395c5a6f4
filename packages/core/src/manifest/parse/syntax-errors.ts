import type { CST, Document, ErrorCode, YAMLError } from 'yaml';
import { Concrete } from './concrete.js';
import type { SourceText, TextRange } from './source-text.js';
import type { ProblemList } from '../rules/problem-list.js';
import { controlCharacter } from '../rules/whole-file.js';
import { yamlSyntax, yamlTag } from '../rules/yaml.js';

/** Reports what the yaml library found, in our words. Gives the offsets of the errors of syntax. */
export function reportSyntaxErrors(
  source: SourceText,
  documents: readonly Document.Parsed[],
  tokens: readonly CST.Token[],
  problems: ProblemList,
): readonly number[] {
  const offsets: number[] = [];
  /** Looked at once, and only if there is an error. */
  let concrete: Concrete | undefined;
  // A control character is often a slip of syntax too, and has been reported.
  const lines = new Set(
    problems.all
      .filter(({ rule, file }) => rule === controlCharacter.id && file === source.path)
      .map(({ line }) => line),
  );
  // A list that is indented by a tab seems to start on the line of its key.
  const tabbed = new Set(
    documents
      .flatMap(({ errors }) => errors)
      .filter(({ code }) => code === 'TAB_AS_INDENT')
      .map(({ pos }) => source.position(pos[0]).line),
  );
  for (const document of documents) {
    for (const error of [...document.errors, ...document.warnings]) {
      const range = { start: error.pos[0], end: Math.max(error.pos[0] + 1, error.pos[1]) };
      const spot = { source, range, pointer: '' };
      if (TAG_CODES.has(error.code)) {
        problems.add(yamlTag, spot, {
          message: 'A YAML tag stands here; values in a manifest are read as text and need none.',
          advice: 'remove the tag',
        });
        continue;
      }
      if (error.name === 'YAMLWarning') continue;
      offsets.push(range.start);
      // One slip makes several errors on its line; the first says what it is.
      const { line } = source.position(range.start);
      if (lines.has(line) || (isBlockOnKeyLine(error) && tabbed.has(line + 1))) continue;
      lines.add(line);
      concrete ??= new Concrete(tokens);
      const words = plainWords(error, source.text, concrete);
      problems.add(yamlSyntax, { ...spot, range: words.range ?? range }, words);
    }
  }
  return offsets;
}

function isBlockOnKeyLine({ code }: YAMLError): boolean {
  return code === 'BLOCK_AS_IMPLICIT_KEY';
}

const TAG_CODES: ReadonlySet<ErrorCode> = new Set<ErrorCode>([
  'TAG_RESOLVE_FAILED',
  'BAD_COLLECTION_TYPE',
]);

interface Words {
  readonly message: string;
  readonly advice?: string;
  /** What is meant, where that is not where the library noticed it. */
  readonly range?: TextRange;
}

/** Several slips share a code; what stands there tells them apart. */
function plainWords({ code, pos: [at] }: YAMLError, text: string, concrete: Concrete): Words {
  if (code === 'MISSING_CHAR') {
    const quote = concrete.quoteOpenAt(at);
    if (quote !== null) return { message: 'This quoted text is never closed.', range: quote };
    if (concrete.isWithoutComma(at)) return NO_COMMA;
    if (concrete.isKeyWithoutColon(at)) return NO_COLON;
  }
  if (code === 'MISSING_CHAR' || code === 'BAD_INDENT') {
    const bracket = concrete.bracketOpenAt(at);
    if (bracket !== null) {
      const message =
        bracket.closedBy === null
          ? 'This bracket is never closed.'
          : `This bracket is closed by a ${bracket.closedBy}, which is of another kind.`;
      return { message, advice: `close it with ${bracket.wanted}`, range: bracket };
    }
  }
  if (code === 'MISSING_CHAR') {
    if (text[at] === '#') return NO_SPACE;
    if (text[at] === ':') return NO_SPACE_AFTER;
    const next = at + (/^\s*/.exec(text.slice(at, at + NEAR))?.[0] ?? '').length;
    if (concrete.isWithoutDash(next)) return { ...NO_DASH, range: { start: next, end: next + 1 } };
  }
  if (code === 'BLOCK_AS_IMPLICIT_KEY') {
    const on = concrete.mapOnKeyLine(at);
    if (on === at) return SECOND_COLON;
    if (on !== null) return { ...TOO_DEEP, range: { start: on, end: on + 1 } };
  }
  if (code === 'MULTILINE_IMPLICIT_KEY') {
    return concrete.isInBrackets(at) ? NO_COMMA_AT_END : withoutColon(text, at);
  }
  if (code === 'UNEXPECTED_TOKEN') {
    if (text[at] === ',') return { message: 'There is one comma too many here.' };
    if (text[at] === '-') return LIST_ON_KEY_LINE;
    if (/["'][ \t]*$/.test(text.slice(Math.max(0, at - NEAR), at))) return AFTER_QUOTE;
  }
  return BY_CODE[code] ?? { message: 'This is not well-formed YAML.' };
}

const NO_COMMA: Words = {
  message: 'A comma is missing between two items.',
  advice: 'put a comma before this',
};

const NO_COLON: Words = {
  message: 'A key stands here without a value.',
  advice: 'put a colon and a space after it',
};

const NO_COMMA_AT_END: Words = {
  message: 'A comma is missing at the end of this line.',
  advice: 'put one there; also check that quotes and brackets are closed',
};

const NO_DASH: Words = {
  message: 'This line belongs to no item of the list above.',
  advice: 'start it with a dash and a space, or put it under the first key of the item',
};

const TOO_DEEP: Words = {
  message:
    'This line is indented further than the key above, so it is read as a part of its value.',
  advice: 'indent the keys of one map by the same number of spaces',
};

const NO_SPACE: Words = { message: 'A space is missing before the # of a comment.' };

const NO_SPACE_AFTER: Words = {
  message: 'A space is missing after this colon.',
  advice: 'write key: value',
};

/** Characters before a place that are looked at. */
const NEAR = 40;

/** A line that was read as the beginning of the next one's key. */
function withoutColon(text: string, at: number): Words {
  const end = text.indexOf('\n', at);
  const line = text.slice(at, end === -1 ? undefined : end);
  if (/^["']|:\s/.test(line)) return { message: 'A key goes over more than one line.' };
  const colon = line.search(/:\S/);
  if (colon === -1) return NO_COLON_ON_LINE;
  return { ...NO_SPACE_AFTER, range: { start: at + colon, end: at + colon + 1 } };
}

const NO_COLON_ON_LINE: Words = {
  message: 'This line has no colon, so it is read as a part of the next.',
  advice: 'write key: value, or close a quote or bracket that is still open',
};

const LIST_ON_KEY_LINE: Words = {
  message: 'A list cannot start on the line of its key.',
  advice: 'start it on the next line, indented, or write it in brackets: [one, two]',
};

const AFTER_QUOTE: Words = {
  message: 'The quoted text before this has ended.',
  advice: `put a comma between two items; a quote inside the text is written as '' or \\"`,
};

const SECOND_COLON: Words = {
  message: 'A second colon on one line makes a map inside a map.',
  advice: 'put the text after the first colon in quotes',
};

const BY_CODE: Readonly<Partial<Record<ErrorCode, Words>>> = {
  ALIAS_PROPS: { message: 'An alias (*name) can carry neither an anchor nor a tag.' },
  BAD_ALIAS: { message: 'The name of this alias or anchor is missing or unclear.' },
  BAD_DIRECTIVE: { message: 'This % line is not a YAML directive.', advice: 'remove the line' },
  BAD_DQ_ESCAPE: {
    message: 'This backslash sequence means nothing in double quotes.',
    advice: 'use single quotes, or write the backslash twice',
  },
  BAD_INDENT: {
    message: 'The indent does not line up with the lines around it.',
    advice: 'indent the items of one list or map by the same number of spaces',
  },
  BAD_PROP_ORDER: { message: 'An anchor or tag stands on the wrong side of an indicator.' },
  BAD_SCALAR_START: {
    message: 'Text without quotes cannot start with this character.',
    advice: 'put the text in quotes',
  },
  BLOCK_AS_IMPLICIT_KEY: {
    message: 'This list item does not line up with the lines around it.',
    advice: 'put its dash under the other dashes, or indent it below its key',
  },
  BLOCK_IN_FLOW: { message: 'An indented list or map cannot stand inside brackets.' },
  KEY_OVER_1024_CHARS: { message: 'This key is longer than 1024 characters.' },
  MISSING_CHAR: {
    message: 'A character is missing here: a space, a colon, a comma or a line break.',
  },
  MULTIPLE_ANCHORS: { message: 'A value can carry one anchor only.' },
  MULTIPLE_TAGS: { message: 'A value can carry one tag only.' },
  RESOURCE_EXHAUSTION: { message: 'This is nested too deep to be read.' },
  TAB_AS_INDENT: {
    message: 'A tab is used for indenting; YAML allows only spaces there.',
    advice: 'replace the tab with spaces',
  },
  UNEXPECTED_TOKEN: { message: 'This cannot stand here.' },
};
