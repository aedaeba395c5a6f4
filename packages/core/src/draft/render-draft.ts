import { Document, Scalar } from 'yaml';
import { ALGORITHMS } from '../bytes/digests.js';
import { jsonText } from '../text/json-text.js';
import type { Drafted, DraftedDump, DraftedFirmware, DraftedSystem } from './model.js';

const FROM_FILES = [
  ' Drafted by firmtally from files: each file as it was is required, each folder is a system.',
  ' Check the ids and names, move what is not needed to `optional:`, and set `folder:` when the',
  ' audited root is not the drafted folder itself. Digests only say that nothing has changed since.',
];

const FROM_LISTS = [
  ' Drafted by firmtally from a list: names, sizes and checksums are what the list says. No file was',
  ' read for it, and a list can be wrong: a file that does not match is not proven bad by it alone.',
  ' Check the ids, names and systems, and set `folder:` to where the files belong.',
];

/**
 * The draft as YAML 1.2. Digests are quoted, so that no tool takes one for a number.
 *
 * @param comment lines that are put below the draft's own comment
 */
export function renderDraftYaml(drafted: Drafted, comment: readonly string[] = []): string {
  const document = yamlOf(contentOf(drafted, YAML_WORDING));
  document.commentBefore = [
    ...(drafted.from === 'lists' ? FROM_LISTS : FROM_FILES),
    ...comment.map((line) => ` ${line}`),
  ].join('\n');
  return yamlText(document);
}

/** The draft as JSON, which has no comments: there the title says that it is one. */
export function renderDraftJson(drafted: Drafted): string {
  return jsonText(contentOf(drafted, JSON_WORDING), toObject);
}

/** How digests and names are written. */
export interface Wording {
  digest(text: string): unknown;
  text(text: string): unknown;
}

export const JSON_WORDING: Wording = { digest: String, text: String };

export const YAML_WORDING: Wording = {
  digest: (text) => quoted(text, 'QUOTE_SINGLE'),
  text: (text) => (MUST_ESCAPE.test(text) ? quoted(text, 'QUOTE_DOUBLE') : text),
};

/** What YAML 1.1 would take for a boolean or number is quoted as well, for readers that still do. */
export function yamlOf(content: unknown): Document {
  return new Document(content, { compat: 'yaml-1.1' });
}

export function yamlText(document: Document, indent = 2): string {
  const written = document.toString({
    lineWidth: 0,
    singleQuote: true,
    flowCollectionPadding: false,
    indent,
  });
  // The library leaves some of these as they are; they only occur in double quotes.
  return written.replace(ESCAPED_HERE, escape);
}

/** Maps, so that an id like `10` stays where it belongs. */
function contentOf({ title, folder, firmware, systems }: Drafted, wording: Wording): unknown {
  return {
    firmtally: 1,
    title: wording.text(title),
    ...(folder === null ? {} : { folder: wording.text(folder) }),
    firmware: new Map(firmware.map((entry) => [entry.id, firmwareContent(entry, wording)])),
    systems: new Map(systems.map((system) => [system.id, systemContent(system, wording)])),
  };
}

/** An entry as a manifest has it. */
export function firmwareContent(
  { path, folder, dumps, members }: DraftedFirmware,
  wording: Wording,
): object {
  return {
    path: wording.text(path),
    ...(folder === null ? {} : { folder: wording.text(folder) }),
    ...(members === null
      ? { dumps: dumps.map((dump) => dumpContent(dump, wording)) }
      : {
          members: members.map((member) => ({
            path: wording.text(member.path),
            dumps: member.dumps.map((dump) => dumpContent(dump, wording)),
          })),
        }),
  };
}

export function dumpContent({ label, size, digests }: DraftedDump, wording: Wording): object {
  const dump: Record<string, unknown> = {};
  if (label !== null) dump['label'] = wording.text(label);
  if (size !== null) dump['size'] = size;
  for (const algorithm of ALGORITHMS) {
    const digest = digests[algorithm];
    if (digest !== undefined) dump[algorithm] = wording.digest(digest);
  }
  return dump;
}

export function systemContent(
  { name, requires, optional }: DraftedSystem,
  wording: Wording,
): object {
  return {
    name: wording.text(name),
    ...(requires.length > 0 ? { requires } : {}),
    ...(optional.length > 0 ? { optional } : {}),
  };
}

export function toObject(_key: string, value: unknown): unknown {
  return value instanceof Map ? Object.fromEntries(value) : value;
}

function quoted(text: string, type: Scalar.Type): Scalar {
  const scalar = new Scalar(text);
  scalar.type = type;
  return scalar;
}

/**
 * What YAML 1.2.2 (5.1, 5.2) does not print, the line breaks of YAML 1.1, and
 * the bidirectional controls (UAX #9), which could make a line read as another.
 */
const MUST_ESCAPE =
  /[\0-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff]/;

/** The same but for the C0 controls, which the library escapes. */
const ESCAPED_HERE =
  /[\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff]/g;

function escape(character: string): string {
  return `\\u${character.charCodeAt(0).toString(16).padStart(4, '0')}`;
}
