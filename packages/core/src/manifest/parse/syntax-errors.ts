import type { CST, Document, ErrorCode, YAMLError } from 'yaml';
import { firstAtLeast, type SourceText, type TextRange } from './source-text.js';
import { findUnclosed } from './unclosed.js';
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
  const openers = new Openers(tokens);
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
      problems.add(
        yamlSyntax,
        { ...spot, range: openers.before(error) ?? range },
        plainWords(error),
      );
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

/** Where the brackets and quotes stand that are never closed: the library points at where it missed their ends. */
class Openers {
  readonly #tokens: readonly CST.Token[];
  /** Looked for once, and only if there is one. */
  #offsets: readonly number[] | null = null;

  constructor(tokens: readonly CST.Token[]) {
    this.#tokens = tokens;
  }

  before(error: YAMLError): TextRange | null {
    if (!/Missing closing|end with a [}\]]/.test(error.message)) return null;
    this.#offsets ??= findUnclosed(this.#tokens);
    const start = this.#offsets[firstAtLeast(this.#offsets, error.pos[0]) - 1];
    return start === undefined ? null : { start, end: start + 1 };
  }
}

interface Words {
  readonly message: string;
  readonly advice?: string;
}

function plainWords(error: YAMLError): Words {
  for (const [pattern, words] of BY_MESSAGE) if (pattern.test(error.message)) return words;
  return BY_CODE[error.code] ?? { message: 'This is not well-formed YAML.' };
}

/** Several slips share a code; the library's message tells them apart. */
const BY_MESSAGE: readonly (readonly [RegExp, Words])[] = [
  [/Missing closing .*quote/, { message: 'This quoted text is never closed.' }],
  [
    /closing quote.*indent|Missing closing/,
    { message: 'This quoted text is not closed where it should be.' },
  ],
  [/end with a [}\]]/, { message: 'A bracket opened before is never closed.' }],
  [
    /Missing , (?:or : )?between/,
    { message: 'A comma is missing between two items.', advice: 'put a comma before this' },
  ],
  [
    /Implicit map keys need to be followed by map values/,
    { message: 'A key stands here without a value.', advice: 'put a colon and a space after it' },
  ],
  [
    /Nested mappings are not allowed in compact mappings/,
    {
      message: 'A second colon on one line makes a map inside a map.',
      advice: 'put the text after the first colon in quotes',
    },
  ],
];

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
    message: 'A list or map cannot start on the line of another key.',
    advice: 'start it on a line of its own, indented; or put text with a colon in quotes',
  },
  BLOCK_IN_FLOW: { message: 'An indented list or map cannot stand inside brackets.' },
  KEY_OVER_1024_CHARS: { message: 'This key is longer than 1024 characters.' },
  MISSING_CHAR: {
    message: 'A character is missing here: a space, a colon, a comma or a line break.',
  },
  MULTILINE_IMPLICIT_KEY: {
    message: 'A key goes over more than one line.',
    advice: 'check colons, commas and closing quotes on this line and the one before',
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
