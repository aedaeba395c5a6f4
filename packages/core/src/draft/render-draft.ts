import { Document, Scalar } from 'yaml';
import { ALGORITHMS } from '../digest/engine.js';
import { jsonText } from '../text/json-text.js';
import type { Drafted } from './model.js';

const NOTE = [
  ' Drafted by firmtally from a folder: each file as it was is required, each folder is a system.',
  ' Check the ids and names, move what is not needed to `optional:`, and set `folder:` when the',
  ' audited root is not the drafted folder itself. Digests only say that nothing has changed since.',
].join('\n');

/** The draft as YAML 1.2. Digests are quoted, so that no tool takes one for a number. */
export function renderDraftYaml(drafted: Drafted): string {
  const content = contentOf(drafted, {
    digest: (text) => quoted(text, 'QUOTE_SINGLE'),
    text: (text) => (MUST_ESCAPE.test(text) ? quoted(text, 'QUOTE_DOUBLE') : text),
  });
  // What YAML 1.1 would take for a boolean or number is quoted as well, for readers that still do.
  const document = new Document(content, { compat: 'yaml-1.1' });
  document.commentBefore = NOTE;
  const written = document.toString({ lineWidth: 0, singleQuote: true });
  // The library leaves some of these as they are; they only occur in double quotes.
  return written.replace(ESCAPED_HERE, escape);
}

/** The draft as JSON, which has no comments: there the title says that it is one. */
export function renderDraftJson(drafted: Drafted): string {
  const content = contentOf(drafted, { digest: String, text: String });
  return jsonText(content, toObject);
}

/** How digests and names are written. */
interface Wording {
  digest(text: string): unknown;
  text(text: string): unknown;
}

/** Maps, so that an id like `10` stays where it belongs. */
function contentOf({ title, firmware, systems }: Drafted, wording: Wording): unknown {
  return {
    firmtally: 1,
    title: wording.text(title),
    firmware: new Map(
      firmware.map(({ id, path, size, digests }) => {
        const dump: Record<string, unknown> = { size };
        for (const algorithm of ALGORITHMS) {
          const digest = digests[algorithm];
          if (digest !== undefined) dump[algorithm] = wording.digest(digest);
        }
        return [id, { path: wording.text(path), dumps: [dump] }];
      }),
    ),
    systems: new Map(
      systems.map(({ id, name, requires }) => [id, { name: wording.text(name), requires }]),
    ),
  };
}

function toObject(_key: string, value: unknown): unknown {
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
