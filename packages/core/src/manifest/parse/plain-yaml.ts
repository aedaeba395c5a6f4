import { plainValue } from './integer.js';
import type { ParsedValue } from './parsed.js';
import { PlainMap, WrittenRanges } from './written-ranges.js';

/**
 * What {@link toValue} makes of a manifest in the plain YAML that manifests
 * are written in: block maps and lists, brackets, texts of one line with or
 * without quotes, comments. Ten times as fast as by way of the library, which
 * keeps every space for editing and need not even be loaded then.
 *
 * Null for whatever else YAML has (anchors, tags, texts of several lines,
 * escapes, `? ` keys, `---` …), and for whatever looks like a slip: the library
 * reads that, and only it says what is wrong.
 */
export function plainYaml(text: string): ParsedValue | null {
  if (NOT_PLAIN.test(text)) return null;
  try {
    return { ...new Reader(text).document(), damaged: false };
  } catch (error) {
    if (error instanceof NotPlain) return null;
    throw error;
  }
}

/** Tabs and other control characters, a lone carriage return, a byte-order mark. */
const NOT_PLAIN = /[\u0000-\u0009\u000b\u000c\u000e-\u001f\ufeff]|\r(?!\n)/;

/** Levels that are read here; the library counts deeper ones, and says where there are too many. */
const MAX_DEPTH_HERE = 20;

/** Longer keys are an error in YAML (1.2.2, 7.4.2). */
const MAX_KEY = 1000;

/** Values; with more, the library counts what there is, and may say that it is too much. */
const MAX_VALUES = 1_000_000;

class NotPlain extends Error {}

type Read = Pick<ParsedValue, 'value' | 'range' | 'ranges'>;

/** What a text without quotes does not start with (YAML 1.2.2, 7.3.3: c-indicator), and `.`, as `...` ends a document. */
const INDICATORS = new Set('-?:,[]{}#&*!|>\'"%@`');

const NEWLINE = 0x0a;
const RETURN = 0x0d;
const SPACE = 0x20;
const HASH = 0x23;
const COLON = 0x3a;

class Reader {
  readonly #text: string;
  #at = 0;
  /** Column of the next line that is neither blank nor a comment, where `#at` is then; -1 at the end. */
  #indent = 0;
  #lineStart = 0;
  #depth = 0;
  #values = 0;

  constructor(text: string) {
    this.#text = text;
  }

  document(): Read {
    this.#nextLine();
    if (this.#indent !== 0 || this.#startsMarker()) throw new NotPlain();
    // A line that belongs to no map ends it as a slip does.
    return this.#map(0);
  }

  /** The block whose first line starts here. */
  #block(indent: number, outer: number): Read {
    if (this.#isItem()) return this.#list(indent);
    const first = this.#text[this.#at];
    if (first !== '[' && first !== '{') return this.#map(indent);
    const read = this.#flow(outer);
    this.#endLine();
    return read;
  }

  #map(indent: number): Read {
    this.#enter();
    const map = new PlainMap();
    const ranges = WrittenRanges.ofMap();
    const start = this.#at;
    let end = start;
    while (this.#indent === indent) {
      const { index, key } = this.#key(ranges);
      end = this.#at;
      const { value, range, ranges: inner } = this.#mapValue(indent, key);
      map[key] = value;
      ranges.setValue(index, range.start, range.end, inner);
      end = Math.max(end, range.end);
    }
    this.#leave(indent);
    return { value: map, range: { start, end }, ranges };
  }

  /** What follows a key and its colon, on its line or below. */
  #mapValue(indent: number, key: string): Read {
    const colonEnd = this.#at;
    this.#spaces();
    if (!this.#isAtLineEnd()) {
      const read = this.#inline(indent, key);
      this.#endLine();
      if (this.#indent > indent) throw new NotPlain();
      return read;
    }
    this.#endLine();
    if (this.#indent > indent) return this.#block(this.#indent, indent);
    // A list may stand at the column of its key.
    if (this.#indent === indent && this.#isItem()) return this.#list(indent);
    return { value: null, range: { start: colonEnd, end: colonEnd }, ranges: null };
  }

  #list(indent: number): Read {
    this.#enter();
    const list: unknown[] = [];
    const ranges = WrittenRanges.ofList();
    const start = this.#at;
    let end = start;
    while (this.#indent === indent && this.#isItem()) {
      this.#at++;
      this.#spaces();
      if (this.#isAtLineEnd() || this.#isItem()) throw new NotPlain();
      const { value, range, ranges: inner } = this.#item(indent);
      list.push(value);
      ranges.addItem(range.start, range.end, inner);
      end = range.end;
    }
    this.#leave(indent);
    return { value: list, range: { start, end }, ranges };
  }

  /** A map that starts on the line of its dash, or a value. */
  #item(indent: number): Read {
    const start = this.#at;
    const read = this.#inline(indent, null);
    if (this.#text.charCodeAt(this.#at) === COLON) {
      this.#at = start;
      this.#indent = start - this.#lineStart;
      return this.#map(this.#indent);
    }
    this.#endLine();
    if (this.#indent > indent) throw new NotPlain();
    return read;
  }

  /** A value on the line of its key or dash. */
  #inline(indent: number, key: string | null): Read {
    const first = this.#text[this.#at];
    if (first === '[' || first === '{') return this.#flow(indent);
    return this.#scalar(key, false);
  }

  /** A list or map in brackets, whose further lines are indented by more than `indent`. */
  #flow(indent: number): Read {
    this.#enter();
    const start = this.#at;
    const isMap = this.#text[start] === '{';
    const close = isMap ? '}' : ']';
    const ranges = isMap ? WrittenRanges.ofMap() : WrittenRanges.ofList();
    const map = new PlainMap();
    const list: unknown[] = [];
    this.#at++;
    for (;;) {
      this.#flowGap(indent);
      if (this.#text[this.#at] === close) break;
      if (isMap) {
        const { index, key } = this.#key(ranges);
        this.#flowGap(indent);
        const { value, range, ranges: inner } = this.#flowValue(indent, key);
        map[key] = value;
        ranges.setValue(index, range.start, range.end, inner);
      } else {
        const { value, range, ranges: inner } = this.#flowValue(indent, null);
        list.push(value);
        ranges.addItem(range.start, range.end, inner);
      }
      this.#flowGap(indent);
      if (this.#text[this.#at] === ',') this.#at++;
      else if (this.#text[this.#at] !== close) throw new NotPlain();
    }
    this.#at++;
    this.#depth--;
    return { value: isMap ? map : list, range: { start, end: this.#at }, ranges };
  }

  #flowValue(indent: number, key: string | null): Read {
    const first = this.#text[this.#at];
    if (first === '[' || first === '{') return this.#flow(indent);
    return this.#scalar(key, true);
  }

  /** Spaces, line breaks and comments between what stands in brackets. */
  #flowGap(indent: number): void {
    for (;;) {
      this.#spaces();
      if (!this.#isAtLineEnd()) return;
      this.#endLine();
      if (this.#indent <= indent) throw new NotPlain();
    }
  }

  /** A key and its colon, behind which a space or the line's end stands. */
  #key(ranges: WrittenRanges): { readonly index: number; readonly key: string } {
    const start = this.#at;
    const quoted = this.#text[start] === '"' || this.#text[start] === "'";
    const { end } = quoted ? this.#quoted() : this.#plain(true);
    const key = quoted ? this.#text.slice(start + 1, end - 1) : this.#text.slice(start, end);
    if (key.length > MAX_KEY || (key === '<<' && !quoted)) throw new NotPlain();
    if (this.#text.charCodeAt(this.#at) !== COLON || !this.#isEmpty(this.#at + 1)) {
      throw new NotPlain();
    }
    // One that stands twice is reported.
    if (ranges.indexOf(key) !== -1) throw new NotPlain();
    this.#at++;
    return { index: ranges.addKey(key, start, end), key };
  }

  #scalar(key: string | null, inFlow: boolean): Read {
    if (++this.#values > MAX_VALUES) throw new NotPlain();
    const first = this.#text[this.#at];
    if (first === '"' || first === "'") {
      const range = this.#quoted();
      const value = this.#text.slice(range.start + 1, range.end - 1);
      return { value, range, ranges: null };
    }
    const range = this.#plain(inFlow);
    const value = plainValue(this.#text.slice(range.start, range.end), key);
    return { value, range, ranges: null };
  }

  /** Goes behind a text in quotes in which nothing is escaped. */
  #quoted(): { start: number; end: number } {
    const start = this.#at;
    const quote = this.#text[start] ?? '';
    const end = this.#text.indexOf(quote, start + 1) + 1;
    if (end === 0) throw new NotPlain();
    for (let at = start + 1; at < end - 1; at++) {
      const unit = this.#text[at];
      if (unit === '\n' || (unit === '\\' && quote === '"')) throw new NotPlain();
    }
    // Two single quotes are one in the text.
    if (this.#text[end] === quote) throw new NotPlain();
    this.#at = end;
    return { start, end };
  }

  /** Goes behind a text without quotes. */
  #plain(inFlow: boolean): { start: number; end: number } {
    const text = this.#text;
    const start = this.#at;
    if (INDICATORS.has(text[start] ?? '\n')) throw new NotPlain();
    let end = start;
    let at = start;
    for (; at < text.length; at++) {
      const unit = text.charCodeAt(at);
      if (unit === NEWLINE) break;
      if (unit === SPACE || unit === RETURN) {
        if (text.charCodeAt(at + 1) === HASH) break;
        continue;
      }
      if (unit === COLON && (this.#isEmpty(at + 1) || (inFlow && isBracket(text[at + 1])))) break;
      if (inFlow && isBracket(text[at])) break;
      end = at + 1;
    }
    if (end === start) throw new NotPlain();
    // `a : b`, a key with a space behind it, is left to the library.
    if (text.charCodeAt(at) === COLON && at !== end) throw new NotPlain();
    this.#at = end;
    return { start, end };
  }

  #isItem(): boolean {
    return this.#text[this.#at] === '-' && this.#isEmpty(this.#at + 1);
  }

  /** `---`, `...` and `%` at the start of a line are of the document. */
  #startsMarker(): boolean {
    const first = this.#text[this.#at];
    return first === '-' || first === '.' || first === '%';
  }

  #isEmpty(at: number): boolean {
    const unit = this.#text.charCodeAt(at);
    return unit === SPACE || unit === NEWLINE || unit === RETURN || at >= this.#text.length;
  }

  #isAtLineEnd(): boolean {
    const unit = this.#text.charCodeAt(this.#at);
    return unit === NEWLINE || unit === RETURN || unit === HASH || this.#at >= this.#text.length;
  }

  #spaces(): void {
    while (this.#text.charCodeAt(this.#at) === SPACE) this.#at++;
  }

  /** Goes past the end of a line on which nothing but a comment may follow, to the next that holds something. */
  #endLine(): void {
    this.#spaces();
    if (!this.#isAtLineEnd()) throw new NotPlain();
    // A comment has a space in front.
    const isComment = this.#text.charCodeAt(this.#at) === HASH;
    if (isComment && this.#text.charCodeAt(this.#at - 1) !== SPACE) throw new NotPlain();
    const end = this.#text.indexOf('\n', this.#at);
    this.#at = end === -1 ? this.#text.length : end + 1;
    this.#nextLine();
  }

  /** From the start of a line to the first that is neither blank nor a comment. */
  #nextLine(): void {
    for (;;) {
      this.#lineStart = this.#at;
      this.#spaces();
      if (this.#at >= this.#text.length) {
        this.#indent = -1;
        return;
      }
      if (!this.#isAtLineEnd()) break;
      const end = this.#text.indexOf('\n', this.#at);
      this.#at = end === -1 ? this.#text.length : end + 1;
    }
    this.#indent = this.#at - this.#lineStart;
    if (this.#indent === 0 && this.#startsMarker() && !this.#isItem()) throw new NotPlain();
  }

  #enter(): void {
    if (++this.#depth > MAX_DEPTH_HERE) throw new NotPlain();
  }

  /** Ends a block: what comes next belongs to a block around it. */
  #leave(indent: number): void {
    this.#depth--;
    if (this.#indent > indent) throw new NotPlain();
  }
}

/** What ends a text without quotes inside brackets. */
function isBracket(character: string | undefined): boolean {
  return character !== undefined && ',[]{}'.includes(character);
}
