import { FirmtallyError } from '../../errors.js';
import { leftOutFor } from '../../facts/left-out.js';
import { jsonValue } from '../../manifest/parse/json-value.js';
import { SourceText } from '../../manifest/parse/source-text.js';
import type { WrittenRanges } from '../../manifest/parse/written-ranges.js';
import { readHeader, type Header } from './header.js';
import type { ListBuilder } from './list-builder.js';
import type { LineOutcome } from './model.js';
import { readTableRow } from './table-row.js';

/** How such a list starts; a heading such as `[Osprey]` does not. */
const STARTS_AS_JSON = /^\s*(?:\[\s*(?:[[{"]|\]\s*$)|\{\s*["}])/u;

/** The manifest's reader of JSON, which keeps numbers as written, wants a map: the list is put into one. */
const BEFORE = '{"":';
const AFTER = '}';

/**
 * Reads JSON: an array of objects whose keys are named as the columns of a
 * table, of arrays of which the first is the header, or of lines; or an object
 * that holds such arrays. False when the text is no JSON.
 */
export function readJsonList(
  path: string,
  text: string,
  builder: ListBuilder,
  readLine: (line: string) => LineOutcome,
): boolean {
  if (!STARTS_AS_JSON.test(text)) return false;
  const parsed = jsonValue(BEFORE + text + AFTER);
  const first = text.split('\n', 1)[0] ?? '';
  if (parsed === null && readJsonLine(first) !== null) return false;
  const root = parsed === null ? null : (parsed.value as Readonly<Record<string, unknown>>);
  if (parsed === null || root === null || Object.keys(root).length !== 1) throw broken(path, text);
  const source = new SourceText(path, BEFORE + text + AFTER);
  const content = root[''];
  const arrays = arraysIn(content, parsed.ranges?.inner(0) ?? null);
  if (arrays.length === 0) {
    const line = source.position(BEFORE.length).line;
    builder.add(line, first, isObject(content) ? readObject(content) : NO_ARRAY);
  }
  for (const { items, ranges } of arrays) {
    const lineOf = (index: number): number => source.position(ranges?.key(index).start ?? 0).line;
    readArray(items, lineOf, builder, readLine);
  }
  return true;
}

const NO_ARRAY = leftOutFor('no-array', {});

interface ReadArray {
  readonly items: readonly unknown[];
  /** Where they were written. */
  readonly ranges: WrittenRanges | null;
}

/** The array itself, or those an object holds. */
function arraysIn(content: unknown, ranges: WrittenRanges | null): ReadArray[] {
  if (Array.isArray(content)) return [{ items: content, ranges }];
  return isObject(content)
    ? Object.entries(content).flatMap(([key, value]) =>
        Array.isArray(value)
          ? [{ items: value, ranges: ranges?.inner(ranges.indexOf(key)) ?? null }]
          : [],
      )
    : [];
}

function readArray(
  array: readonly unknown[],
  lineOf: (index: number) => number,
  builder: ListBuilder,
  readLine: (line: string) => LineOutcome,
): void {
  let header: Header | null = null;
  for (const [index, item] of array.entries()) {
    const line = lineOf(index);
    const shown = typeof item === 'string' ? item : JSON.stringify(item).slice(0, 200);
    if (typeof item === 'string') builder.add(line, shown, readLine(item));
    else if (Array.isArray(item)) {
      const cells = item.map(textOf);
      const found: Header | null = header === null ? readHeader(cells) : null;
      if (found !== null) {
        header = found;
        builder.notes(line, header.notes);
        continue;
      }
      builder.add(line, shown, header === null ? NO_HEADER : readTableRow(cells, header));
    } else builder.add(line, shown, isObject(item) ? readObject(item) : leftOutFor('no-row', {}));
  }
}

const NO_HEADER = leftOutFor('no-header', {});

/** A line that is a JSON object by itself. Null when it is none. */
export function readJsonLine(line: string): LineOutcome | null {
  if (!line.trimStart().startsWith('{')) return null;
  const value = jsonValue(line)?.value;
  return isObject(value) ? readObject(value) : null;
}

/** Keys are columns; those of an object inside stand beside the others. */
function readObject(object: Readonly<Record<string, unknown>>): LineOutcome {
  const pairs = Object.entries(object).flatMap(([key, value]): [string, string][] =>
    isObject(value)
      ? Object.entries(value).map(([inner, text]) => [inner, textOf(text)])
      : [[key, textOf(value)]],
  );
  const header = readHeader(pairs.map(([key]) => key));
  if (header === null) return leftOutFor('unknown-keys', {});
  return readTableRow(
    pairs.map(([, value]) => value),
    header,
  );
}

function textOf(value: unknown): string {
  if (Array.isArray(value)) return value.map(textOf).join(' ');
  return typeof value === 'string' || typeof value === 'number' ? String(value) : '';
}

function isObject(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function broken(path: string, text: string): FirmtallyError {
  let message = 'a key stands twice in it, or it nests too deep';
  try {
    JSON.parse(text);
  } catch (error) {
    message = error instanceof Error ? error.message : String(error);
  }
  return new FirmtallyError(
    'list-invalid',
    `${path}: the list is JSON that cannot be read (${message})`,
    'Correct it, or save the list again.',
  );
}
