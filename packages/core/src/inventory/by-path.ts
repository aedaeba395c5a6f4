import { compareUtf8 } from '../text/order.js';

interface Named {
  readonly path: string;
}

/** Things with a path, in UTF-8 order of it, found by binary search. */
export class ByPath<Item extends Named> {
  readonly items: readonly Item[];
  /** Whether no path has any character beyond ASCII: then names need no folding to be told apart by length. */
  readonly isAscii: boolean;
  /** Those whose path is not in NFC; nearly always none. */
  readonly decomposed: readonly Item[];

  private constructor(items: readonly Item[], isAscii: boolean) {
    this.items = items;
    this.isAscii = isAscii;
    this.decomposed = isAscii ? [] : items.filter(({ path }) => nfc(path) !== path);
  }

  static of<Item extends Named>(items: readonly Item[]): ByPath<Item> {
    const others = items.filter(({ path }) => NOT_ASCII.test(path));
    // Without surrogates UTF-16 order is UTF-8 order, and the engine's own comparison is ten times as fast.
    const compare = others.some(({ path }) => SURROGATE.test(path))
      ? (a: Item, b: Item): number => compareUtf8(a.path, b.path)
      : (a: Item, b: Item): number => (a.path < b.path ? -1 : a.path > b.path ? 1 : 0);
    return new ByPath([...items].sort(compare), others.length === 0);
  }

  /** Things with some of the same paths, in the same order. */
  withSome<Other extends Named>(items: readonly Other[]): ByPath<Other> {
    return new ByPath(items, this.isAscii);
  }

  /** Code point by code point. */
  at(path: string): Item | undefined {
    const item = this.items[this.#firstNotBefore(path)];
    return item?.path === path ? item : undefined;
  }

  /** Paths with one beginning stand next to each other in any byte order. */
  startingWith(beginning: string): readonly Item[] {
    const start = this.#firstNotBefore(beginning);
    let end = start;
    while (this.items[end]?.path.startsWith(beginning)) end++;
    return this.items.slice(start, end);
  }

  /** Index of the first at or after a path. */
  #firstNotBefore(path: string): number {
    let low = 0;
    let high = this.items.length;
    while (low < high) {
      const middle = (low + high) >>> 1;
      const item = this.items[middle];
      if (item !== undefined && compareUtf8(item.path, path) < 0) low = middle + 1;
      else high = middle;
    }
    return low;
  }
}

const SURROGATE = /[\ud800-\udfff]/;
const NOT_ASCII = /[^\u0000-\u007f]/;

/** In Unicode NFC (UAX #15). */
export function nfc(path: string): string {
  return NOT_ASCII.test(path) ? path.normalize('NFC') : path;
}
