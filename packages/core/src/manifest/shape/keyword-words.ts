import { nearestName } from '../../text/nearest.js';
import { ALGORITHMS } from '../../bytes/digests.js';
import { intendedInteger, plainInteger } from '../parse/integer.js';
import { tokens } from '../parse/pointer.js';
import type { Spot } from '../parse/source-text.js';
import type { Cursor } from './cursor.js';
import { isId, toId } from './id.js';
import { schemaAt } from './schema-at.js';
import type { SchemaError } from './schema-error.js';
import type { Finding, ProblemList } from '../rules/problem-list.js';
import {
  badId,
  emptyList,
  missingKey,
  unknownKey,
  wrongType,
  wrongValue,
  wrongVersion,
} from '../rules/shape.js';

interface Input {
  readonly error: SchemaError;
  readonly at: Cursor;
  readonly problems: ProblemList;
}

type Formatter = (input: Input) => void;

/** Whether a rule of its own looks at this, with better words. */
export function isLeftToRules({ keyword, schemaPath, instancePath }: SchemaError): boolean {
  // members-and-dumps; no-digest, whose four `required` are part of an anyOf.
  if (keyword === 'not' || keyword === 'anyOf') return true;
  // unsafe-path.
  if (keyword === 'propertyNames' && schemaAt(instancePath).name === 'content') return true;
  if (/\/anyOf\/[0-9]+\/required$/.test(schemaPath)) return true;
  // unsafe-path, digest-characters, digest-length.
  return keyword === 'pattern' && PATTERNS_OF_RULES.has(schemaAt(instancePath).name ?? '');
}

const PATTERNS_OF_RULES: ReadonlySet<string> = new Set(['path', 'folder', ...ALGORITHMS]);

/** One for each keyword of the schema that can fail. */
export const FORMATTERS: Readonly<Record<string, Formatter>> = {
  type: ({ error, at, problems }) => {
    problems.add(wrongType, shownSpot(at), typeWords(at, error.params['type']));
  },
  required: ({ error, at, problems }) => {
    const key = String(error.params['missingProperty']);
    problems.add(missingKey, shownSpot(at), {
      message: `${nounOf(at)} has no "${key}".`,
      advice:
        error.instancePath === '' && key === 'firmtally'
          ? 'start the manifest with: firmtally: 1'
          : null,
    });
  },
  additionalProperties: ({ error, at, problems }) => {
    const key = String(error.params['additionalProperty']);
    const { name, keys } = schemaAt(error.instancePath);
    const isOfDump = HAVE_DUMPS.has(name ?? '') && DUMP_KEYS.has(key);
    const meant = COMMON_SLIPS[name ?? '']?.[key] ?? null;
    // `{size: 2,048}`: the comma ends the number, and the rest is a key without a value.
    const group = name === 'dump' && /^[0-9]{3}$/.test(key) && at.get(key)?.value === null;
    problems.add(unknownKey, at.get(key)?.keySpot ?? at.spot, {
      message: `The key "${key}" means nothing here; known are ${keys.join(', ')}.`,
      suggestion: isOfDump || group ? null : (meant ?? nearestName(key, keys)),
      advice: isOfDump
        ? `write it inside dumps:, like this: dumps: [{ ${key}: ... }]`
        : group
          ? 'write the number without commas'
          : null,
    });
  },
  propertyNames: ({ error, at, problems }) => {
    const key = String(error.params['propertyName']);
    problems.add(badId, at.get(key)?.keySpot ?? at.spot, idWords(key));
  },
  pattern: ({ error, at, problems }) => {
    const text = String(at.value);
    if (ID_PARTS.has(schemaAt(error.instancePath).name ?? '')) {
      problems.add(badId, at.spot, idWords(text));
      return;
    }
    const bare = text.replace(/^[*.]+/, '');
    problems.add(wrongValue, at.spot, {
      message: `"${text}" is not a file name ending; it is written without dot and star.`,
      suggestion: bare !== text && bare !== '' && !/[/\\]/.test(bare) ? bare : null,
    });
  },
  maxLength: ({ at, problems }) => problems.add(badId, at.spot, idWords(String(at.value))),
  minLength: ({ at, problems }) => {
    problems.add(wrongValue, at.spot, {
      message: `${subjectOf(at)} is empty text.`,
      advice: 'write something, or leave the key out',
    });
  },
  minItems: ({ at, problems }) => {
    problems.add(emptyList, at.spot, { message: `${subjectOf(at)} has nothing in it.` });
  },
  const: ({ at, problems }) => {
    problems.add(wrongVersion, at.spot, {
      message: `This manifest is of version ${String(at.value)}; this program reads version 1.`,
      suggestion: '1',
    });
  },
  enum: ({ error, at, problems }) => {
    const allowed = (error.params['allowedValues'] as readonly unknown[]).map(String);
    problems.add(wrongValue, at.spot, {
      message: `${subjectOf(at)} is "${String(at.value)}"; it can be ${allowed.join(' or ')}.`,
      suggestion: nearestName(String(at.value), allowed),
    });
  },
  minimum: ({ at, problems }) => {
    problems.add(wrongValue, at.spot, { message: `${subjectOf(at)} cannot be less than 0.` });
  },
};

/** Other words for a key that people write, too far from it for the nearest name (common practice, no source). */
const COMMON_SLIPS: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  system: { needs: 'requires', required: 'requires', require: 'requires', needed: 'requires' },
  firmware: { file: 'path', filename: 'path', name: 'path', description: 'note' },
  dump: { name: 'label', revision: 'label', region: 'label', length: 'size', bytes: 'size' },
};

const HAVE_DUMPS: ReadonlySet<string> = new Set(['firmware', 'member']);
const DUMP_KEYS: ReadonlySet<string> = new Set(['label', 'size', ...ALGORITHMS]);

const ID_PARTS: ReadonlySet<string> = new Set(['id', 'requirement']);

function idWords(id: string): Finding {
  const message =
    id.length > 100
      ? `This id has ${id.length} characters; at most 100 are allowed.`
      : id === ''
        ? 'An id cannot be empty.'
        : `"${id}" is not an id: it starts with a letter or digit and goes on with letters, digits and . _ + -`;
  return { message, suggestion: toId(id) };
}

function typeWords(at: Cursor, type: unknown): Finding {
  const wanted = [type].flat().map(String);
  if (wanted.includes('integer')) return integerWords(at);
  const names = wanted.filter((name) => name !== 'number').map((name) => TYPE_WORDS[name] ?? name);
  return {
    message: `${subjectOf(at)} should be ${names.join(' or ')}, but is ${typeOf(at)}.`,
    suggestion: wanted.includes('array') ? asList(at) : null,
    advice: at.value === null ? 'fill it in, or leave the key out' : listAdvice(at, wanted),
  };
}

/** What to do about a map where a list belongs. */
function listAdvice({ value, spot }: Cursor, wanted: readonly string[]): string | null {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return null;
  if (!wanted.includes('array')) return null;
  return schemaAt(`${spot.pointer}/0`).keys.length > 0
    ? 'put a dash and a space (- ) in front of each item; a single one needs it too'
    : 'write the ids as a list, like this: [first-id, second-id]';
}

/** `[a, b]` for the ids `a, b` written where a list of ids belongs. */
function asList({ value, spot }: Cursor): string | null {
  if (typeof value !== 'string') return null;
  if (!ID_PARTS.has(schemaAt(`${spot.pointer}/0`).name ?? '')) return null;
  const ids = value.split(',').map((id) => id.trim());
  return ids.every(isId) ? `[${ids.join(', ')}]` : null;
}

function integerWords(at: Cursor): Finding {
  const subject = subjectOf(at);
  const { value } = at;
  if (typeof value !== 'string') {
    return { message: `${subject} should be a whole number, but is ${typeOf(at)}.` };
  }
  if (plainInteger(value) !== null) {
    return { message: `${subject} is text; write the number without quotes.`, suggestion: value };
  }
  if (/^[0-9]{16,}$/.test(value)) {
    return {
      message: `${subject} is larger than 9007199254740991, the largest number allowed.`,
    };
  }
  return {
    message: `${subject} should be a whole number in plain decimal digits, but is "${value}".`,
    suggestion: intendedInteger(value),
  };
}

const TYPE_WORDS: Readonly<Record<string, string>> = {
  object: 'a map (key: value)',
  array: 'a list',
  string: 'text',
};

function typeOf({ value, spot }: Cursor): string {
  if (value === null) return 'empty';
  if (Array.isArray(value)) return 'a list';
  if (typeof value === 'object') return 'a map';
  if (typeof value === 'number') return 'a number';
  const written = spot.source.text.slice(spot.range.start, spot.range.end);
  // Read as text, for the sake of digests, but meant as a number unless quoted.
  return /^-?[0-9]+(?:\.[0-9]+)?$/.test(written) ? 'a number' : 'text';
}

/** `"size"`, or `An item of "requires"`. */
function subjectOf(at: Cursor): string {
  const path = tokens(at.spot.pointer);
  const last = path.at(-1);
  if (last === undefined) return 'A manifest';
  if (!at.isItem) return `"${last}"`;
  return `An item of "${path.at(-2) ?? ''}"`;
}

/** What kind of map it is. */
function nounOf(at: Cursor): string {
  const path = tokens(at.spot.pointer);
  const name = path.at(-1);
  if (name === undefined) return 'The manifest';
  const part = schemaAt(at.spot.pointer).name;
  if (part === 'firmware' || part === 'loadout') return `The ${part} "${name}"`;
  return NOUNS[part ?? ''] ?? `"${name}"`;
}

const NOUNS: Readonly<Record<string, string>> = {
  member: 'This member',
  requirement: 'This requirement',
  folderCheck: 'This folder check',
};

/** Text and numbers show themselves; of a map or list, which goes over many lines, the key is shown. */
function shownSpot(at: Cursor): Spot {
  return typeof at.value === 'object' ? at.keySpot : at.spot;
}
