import type { TextRange } from './source-text.js';

/**
 * Where the parts of a map or list were written. Flat numbers, as a manifest
 * of thousands of entries has hundreds of thousands of parts.
 */
export class WrittenRanges {
  /** Keys in the order they were written; null for a list. */
  readonly #keys: string[] | null;
  /** Start and end of a key (in a map) and of its value; of an item (in a list). */
  readonly #offsets: number[] = [];
  /** Of the parts that are maps or lists themselves. */
  readonly #inner: (WrittenRanges | null)[] = [];
  /** Of a map with many keys: where each is. */
  #indexes: Map<string, number> | null = null;

  private constructor(keys: string[] | null) {
    this.#keys = keys;
  }

  static ofMap(): WrittenRanges {
    return new WrittenRanges([]);
  }

  static ofList(): WrittenRanges {
    return new WrittenRanges(null);
  }

  /** How many parts there are. */
  get size(): number {
    return this.#inner.length;
  }

  /** Adds an item to a list. */
  addItem(start: number, end: number, inner: WrittenRanges | null): void {
    this.#offsets.push(start, end);
    this.#inner.push(inner);
  }

  /** Adds a key to a map, with the key's range for the value's until that is set. Gives its index. */
  addKey(key: string, start: number, end: number): number {
    const index = this.#inner.length;
    this.#keys?.push(key);
    this.#indexes?.set(key, index);
    this.#offsets.push(start, end, start, end);
    this.#inner.push(null);
    return index;
  }

  /** Says where the value of a key is. One of no extent keeps the key's range. */
  setValue(index: number, start: number, end: number, inner: WrittenRanges | null): void {
    if (start !== end) {
      this.#offsets[index * 4 + 2] = start;
      this.#offsets[index * 4 + 3] = end;
    }
    this.#inner[index] = inner;
  }

  /** Index of a key of a map, or of an item of a list by its number; -1 when there is none. */
  indexOf(token: string): number {
    const keys = this.#keys;
    if (keys === null) return this.#inner.length > Number(token) ? Number(token) : -1;
    if (keys.length <= FEW) return keys.indexOf(token);
    this.#indexes ??= new Map(keys.map((key, index) => [key, index]));
    return this.#indexes.get(token) ?? -1;
  }

  /** The key at an index of a map; null in a list. */
  keyAt(index: number): string | null {
    return this.#keys?.[index] ?? null;
  }

  /** Of the key; of the item itself in a list. */
  key(index: number): TextRange {
    return this.#range(this.#keys === null ? index * 2 : index * 4);
  }

  /** The key's, when the value has no extent of its own or was left out. */
  value(index: number): TextRange {
    return this.#range(this.#keys === null ? index * 2 : index * 4 + 2);
  }

  /** Of a part that is a map or a list. */
  inner(index: number): WrittenRanges | null {
    return this.#inner[index] ?? null;
  }

  #range(at: number): TextRange {
    return { start: this.#offsets[at] ?? 0, end: this.#offsets[at + 1] ?? 0 };
  }
}

/** Keys that are searched one by one. */
const FEW = 16;

/**
 * A map without anything inherited, so that `__proto__` is a key like any
 * other. Made by a constructor, as objects made by `Object.create(null)` are
 * some times larger in V8.
 */
export const PlainMap = function PlainMap() {
  // Nothing of its own.
} as unknown as new () => Record<string, unknown>;
PlainMap.prototype = Object.create(null) as Record<string, unknown>;
