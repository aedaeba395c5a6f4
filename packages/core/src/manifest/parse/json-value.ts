import { plainValue } from './integer.js';
import type { ParsedValue } from './parsed.js';
import { PlainMap, WrittenRanges } from './written-ranges.js';

/**
 * What {@link toValue} makes of a manifest in JSON, some times faster than by
 * way of YAML, of which JSON is a part. Null when the text is not JSON, or when
 * something in it (a key that stands twice, deep nesting) needs to be reported.
 */
export function jsonValue(text: string): ParsedValue | null {
  if (!/^[ \t\r\n]*\{/.test(text)) return null;
  try {
    // So that the scanner need not look for what is wrong.
    JSON.parse(text);
  } catch {
    return null;
  }
  const scanner = new Scanner(text);
  const parsed = scanner.value(null, 0);
  if (parsed === null) return null;
  return { ...parsed, damaged: false };
}

/** Levels that are read here; the YAML parser counts deeper ones, and says where there are too many. */
const MAX_DEPTH_HERE = 20;

/** Longer keys are an error in YAML (1.2.2, 7.4.2). */
const MAX_KEY = 1000;

type Scanned = Pick<ParsedValue, 'value' | 'range' | 'ranges'>;

/** Reads well-formed JSON once more, with ranges. */
class Scanner {
  readonly #text: string;
  #at = 0;

  constructor(text: string) {
    this.#text = text;
  }

  value(key: string | null, depth: number): Scanned | null {
    const start = this.#next();
    const first = this.#text[start];
    if (depth > MAX_DEPTH_HERE) return null;
    if (first === '{' || first === '[') {
      const ranges = first === '{' ? WrittenRanges.ofMap() : WrittenRanges.ofList();
      const value = first === '{' ? this.#map(ranges, depth) : this.#list(ranges, depth);
      return value === null ? null : { value, range: { start, end: this.#at }, ranges };
    }
    if (first === '"') {
      const value = this.#quoted();
      return { value, range: { start, end: this.#at }, ranges: null };
    }
    PLAIN.lastIndex = start;
    const [text = ''] = PLAIN.exec(this.#text) ?? [];
    this.#at = start + text.length;
    return { value: plainValue(text, key), range: { start, end: this.#at }, ranges: null };
  }

  #map(ranges: WrittenRanges, depth: number): object | null {
    const map = new PlainMap();
    this.#at++;
    while (this.#text[this.#next()] !== '}') {
      this.#skip(',');
      const start = this.#next();
      const key = this.#quoted();
      if (ranges.indexOf(key) !== -1 || key.length > MAX_KEY) return null;
      const index = ranges.addKey(key, start, this.#at);
      this.#next();
      this.#skip(':');
      const part = this.value(key, depth + 1);
      if (part === null) return null;
      map[key] = part.value;
      ranges.setValue(index, part.range.start, part.range.end, part.ranges);
    }
    this.#at++;
    return map;
  }

  #list(ranges: WrittenRanges, depth: number): object | null {
    const list: unknown[] = [];
    this.#at++;
    while (this.#text[this.#next()] !== ']') {
      this.#skip(',');
      const part = this.value(null, depth + 1);
      if (part === null) return null;
      list.push(part.value);
      ranges.addItem(part.range.start, part.range.end, part.ranges);
    }
    this.#at++;
    return list;
  }

  /** The text in quotes that starts here. */
  #quoted(): string {
    const start = this.#at;
    let end = this.#text.indexOf('"', start + 1);
    while (isEscaped(this.#text, end)) end = this.#text.indexOf('"', end + 1);
    this.#at = end + 1;
    const inner = this.#text.slice(start + 1, end);
    return inner.includes('\\') ? (JSON.parse(this.#text.slice(start, end + 1)) as string) : inner;
  }

  /** Goes on to what is not white space (RFC 8259, 2). */
  #next(): number {
    for (;;) {
      const unit = this.#text.charCodeAt(this.#at);
      if (unit !== 0x20 && unit !== 0x0a && unit !== 0x0d && unit !== 0x09) return this.#at;
      this.#at++;
    }
  }

  #skip(character: string): void {
    if (this.#text[this.#at] === character) this.#at++;
  }
}

/** A number, true, false or null. */
const PLAIN = /[-+.0-9A-Za-z]+/y;

/** Whether an odd number of backslashes stands in front. */
function isEscaped(text: string, offset: number): boolean {
  let start = offset;
  while (text[start - 1] === '\\') start--;
  return (offset - start) % 2 === 1;
}
