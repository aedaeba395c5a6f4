import { ALGORITHMS } from '../../bytes/digests.js';
import { nearestName } from '../../text/nearest.js';
import { intendedInteger, plainInteger } from '../parse/integer.js';
import { tokens } from '../parse/pointer.js';
import type { Spot } from '../parse/source-text.js';
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
import type { Cursor } from './cursor.js';
import { idFinding, isId } from './id.js';
import { algorithmOf, inside, meantKey } from './meant.js';
import { schemaAt, type SchemaPart } from './schema-at.js';
import type { SchemaError } from './schema-error.js';

/**
 * The words of a problem are made of three: what stands here, in code, as only
 * that knows the value; what belongs here, which the schema says, for editors
 * too; and what was most likely meant.
 */
interface Input {
  readonly error: SchemaError;
  readonly at: Cursor;
  readonly part: SchemaPart;
  readonly problems: ProblemList;
}

type Formatter = (input: Input) => void;

/** Whether a rule of its own looks at this, with better words. */
export function isLeftToRules({ keyword, schemaPath, instancePath }: SchemaError): boolean {
  // members-and-dumps; no-digest, whose four `required` are part of an anyOf.
  if (keyword === 'false schema' || keyword === 'anyOf') return true;
  // unsafe-path.
  if (keyword === 'propertyNames' && schemaAt(instancePath).name === 'content') return true;
  if (/\/anyOf\/[0-9]+\/required$/.test(schemaPath)) return true;
  // unsafe-path, digest-characters, digest-length; unknown-firmware and unknown-system, with bad-id.
  return (
    (keyword === 'pattern' || keyword === 'maxLength') &&
    FORMS_OF_RULES.has(schemaAt(instancePath).name ?? '')
  );
}

const FORMS_OF_RULES: ReadonlySet<string> = new Set([
  ...['path', 'folder', 'id', 'requirement'],
  ...ALGORITHMS,
]);

/** One for each keyword of the schema that can fail. */
export const FORMATTERS: Readonly<Record<string, Formatter>> = {
  type: ({ error, at, part, problems }) => {
    problems.add(wrongType, shownSpot(at), typeWords(at, part, error.params['type']));
  },
  required: ({ error, at, part, problems }) => {
    const key = String(error.params['missingProperty']);
    problems.add(missingKey, shownSpot(at), {
      message: `${nounOf(at, part)} has no "${key}".`,
      advice: schemaAt(`${error.instancePath}/${key}`).schema.errorMessage ?? null,
    });
  },
  additionalProperties: ({ error, at, part, problems }) => {
    const key = String(error.params['additionalProperty']);
    const { value = null, keySpot } = at.get(key) ?? {};
    problems.add(unknownKey, keySpot ?? at.spot, unknownKeyWords(at, part, key, value));
  },
  propertyNames: ({ error, at, problems }) => {
    const key = String(error.params['propertyName']);
    problems.add(badId, at.get(key)?.keySpot ?? at.spot, idFinding(key));
  },
  pattern: ({ at, part, problems }) => {
    const text = String(at.value);
    const bare = text.replace(/^[*.]+/, '');
    problems.add(wrongValue, at.spot, {
      message: `"${text}" is not a file name ending.`,
      suggestion: bare !== text && bare !== '' && !/[/\\]/.test(bare) ? bare : null,
      advice: part.schema.patternErrorMessage ?? null,
    });
  },
  minLength: ({ at, problems }) => {
    problems.add(wrongValue, at.spot, {
      message: `${subjectOf(at)} is empty text.`,
      advice: 'write something, or leave the key out',
    });
  },
  minItems: ({ at, problems }) => {
    problems.add(emptyList, at.spot, { message: `${subjectOf(at)} has nothing in it.` });
  },
  const: ({ at, part, problems }) => {
    problems.add(wrongVersion, at.spot, {
      message: `This manifest is of version ${String(at.value)}; this program reads version 1.`,
      suggestion: String(part.schema.const),
    });
  },
  enum: ({ error, at, problems }) => {
    const value = String(at.value);
    const allowed = (error.params['allowedValues'] as readonly unknown[]).map(String);
    problems.add(wrongValue, at.spot, {
      message: `${subjectOf(at)} is "${value}"; it can be ${allowed.join(' or ')}.`,
      suggestion: OTHER_VALUES[value] ?? nearestName(value, allowed),
    });
  },
  minimum: ({ at, problems }) => {
    problems.add(wrongValue, at.spot, { message: `${subjectOf(at)} cannot be less than 0.` });
  },
};

/** Other words for a value that people write (common practice, no source). */
const OTHER_VALUES: Readonly<Partial<Record<string, string>>> = {
  sensitive: 'exact',
  insensitive: 'ignore',
};

function unknownKeyWords(at: Cursor, part: SchemaPart, key: string, value: unknown): Finding {
  const size = at.get('size')?.integer()?.value;
  // `{size: 2,048}`: the comma ends the number, and the rest is a key without a value.
  if (part.name === 'dump' && /^[0-9]{3}$/.test(key) && value === null && size !== undefined) {
    return {
      message: `The comma ends the size, so "${key}" is read as a key.`,
      suggestion: `size: ${String(size)}${key}`,
      advice: schemaAt(`${at.spot.pointer}/size`).schema.errorMessage ?? null,
    };
  }
  const within = inside(part, key);
  return {
    message: `The key "${key}" means nothing here; known are ${part.keys.join(', ')}.`,
    suggestion: within === null ? meantKey(part, lastOf(at), key, value) : null,
    advice: within === null ? null : `write it further inside, like this: ${within}`,
  };
}

function typeWords(at: Cursor, part: SchemaPart, type: unknown): Finding {
  const wanted = [type].flat().map(String);
  const advice = part.schema.errorMessage ?? null;
  if (wanted.includes('integer')) return integerWords(at, part);
  const names = wanted.filter((name) => name !== 'number').map((name) => TYPE_WORDS[name] ?? name);
  const message = `${subjectOf(at)} should be ${names.join(' or ')}, but is ${typeOf(at)}.`;
  if (at.value === null) return { message, advice: 'fill it in, or leave the key out' };
  const suggestion = wanted.includes('array') ? asList(at) : asMap(at, part);
  return { message, suggestion, advice: suggestion === null ? advice : null };
}

/** `[a, b]` for the ids `a, b`, or for a map of them without values, written where a list of ids belongs. */
function asList(at: Cursor): string | null {
  const { value, spot } = at;
  const item = schemaAt(`${spot.pointer}/0`);
  if (!ID_PARTS.has(item.name ?? '')) return null;
  // A single item that lacks its dash.
  const [key, ...others] = at.keys();
  const choice = key !== undefined && item.keys.includes(key) ? at.get(key)?.value : undefined;
  if (Array.isArray(choice) && others.length === 0) {
    const ids = choice.map(String);
    return ids.length > 0 && ids.every(isId) ? `[{${key ?? ''}: [${ids.join(', ')}]}]` : null;
  }
  const ids =
    typeof value === 'string'
      ? value.split(',').map((id) => id.trim())
      : Object.entries(value ?? {}).map(([id, of]: [string, unknown]) => (of === null ? id : ''));
  return ids.length > 0 && ids.every(isId) ? `[${ids.join(', ')}]` : null;
}

const ID_PARTS: ReadonlySet<string> = new Set(['id', 'requirement']);

/** `{path: a}` for the text `a` where a map belongs that needs nothing else; `{md5: …}` for a digest. */
function asMap({ value }: Cursor, { name, schema }: SchemaPart): string | null {
  if (typeof value !== 'string' || value === '' || /[\p{C}'"`#:,{}[\]]/u.test(value)) return null;
  const algorithm = name === 'dump' ? algorithmOf(value) : null;
  const [key = null, ...others] = algorithm === null ? (schema.required ?? []) : [algorithm];
  return key === null || others.length > 0 ? null : `{${key}: ${value}}`;
}

function integerWords(at: Cursor, { schema }: SchemaPart): Finding {
  const subject = subjectOf(at);
  const { value } = at;
  const advice = schema.errorMessage ?? null;
  if (typeof value !== 'string') {
    return { message: `${subject} should be a whole number, but is ${typeOf(at)}.`, advice };
  }
  if (plainInteger(value) !== null) {
    return { message: `${subject} is text; write the number without quotes.`, suggestion: value };
  }
  if (/^[0-9]{16,}$/.test(value)) {
    return {
      message: `${subject} is larger than 9007199254740991, the largest number allowed.`,
    };
  }
  const suggestion =
    schema.const === undefined ? intendedInteger(value) : JSON.stringify(schema.const);
  return {
    message: `${subject} should be a whole number, but is "${value}".`,
    suggestion,
    advice: suggestion === null ? advice : null,
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

function lastOf({ spot }: Cursor): string {
  return tokens(spot.pointer).at(-1) ?? '';
}

/** `"size"`, or `An item of "requires"`. */
function subjectOf(at: Cursor): string {
  const path = tokens(at.spot.pointer);
  const last = path.at(-1);
  if (last === undefined) return 'A manifest';
  return at.isItem ? `An item of "${path.at(-2) ?? ''}"` : `"${last}"`;
}

/** What kind of map it is, with its id where it has one. */
function nounOf(at: Cursor, { schema }: SchemaPart): string {
  const name = lastOf(at);
  if (name === '') return 'The manifest';
  const title = schema.title?.toLowerCase();
  if (title === undefined) return `"${name}"`;
  return at.isItem ? `This ${title}` : `The ${title} "${name}"`;
}

/** Text and numbers show themselves; of a map or list, which goes over many lines, the key is shown. */
function shownSpot(at: Cursor): Spot {
  return typeof at.value === 'object' ? at.keySpot : at.spot;
}
