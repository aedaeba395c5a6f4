import type { Located } from '../written.js';
import type { ParsedManifest } from '../parse/parsed.js';
import { child, tokens } from '../parse/pointer.js';
import type { Spot } from '../parse/source-text.js';
import type { WrittenRanges } from '../parse/written-ranges.js';

/**
 * A value in a parsed manifest, with its place, which is worked out when it is
 * asked for: of thousands of values only those with a problem need it. Asking
 * for what is not there, or not of that type, gives null or nothing.
 */
export class Cursor {
  readonly value: unknown;
  readonly #manifest: ParsedManifest;
  /** Of the value's own parts. */
  readonly #ranges: WrittenRanges | null;
  /** The map or list it stands in, and where the parts of that are; null at the root. */
  readonly #outer: Cursor | null;
  readonly #beside: WrittenRanges | null;
  /** Its key there, or number. */
  readonly #token: string;
  readonly #index: number;

  private constructor(
    manifest: ParsedManifest,
    value: unknown,
    ranges: WrittenRanges | null,
    outer: Cursor | null,
    token: string,
    index: number,
  ) {
    this.#manifest = manifest;
    this.value = value;
    this.#ranges = ranges;
    this.#outer = outer;
    this.#beside = outer === null ? null : outer.#ranges;
    this.#token = token;
    this.#index = index;
  }

  static root(manifest: ParsedManifest): Cursor {
    return new Cursor(manifest, manifest.value, manifest.ranges, null, '', 0);
  }

  /** Of the value. */
  get spot(): Spot {
    const { source, range } = this.#manifest;
    const pointer = this.#pointer;
    return { source, range: this.#beside?.value(this.#index) ?? range, pointer };
  }

  /** Of the key in front of it; of the value itself in a list. */
  get keySpot(): Spot {
    const { source, range } = this.#manifest;
    const pointer = this.#pointer;
    return { source, range: this.#beside?.key(this.#index) ?? range, pointer };
  }

  /** Whether it stands in a list. */
  get isItem(): boolean {
    return Array.isArray(this.#outer?.value);
  }

  /** The part under a key or index. */
  get(token: string): Cursor | null {
    const index = this.#ranges?.indexOf(token) ?? -1;
    return index === -1 ? null : this.#part(token, index);
  }

  /** The part a JSON Pointer names; null when there is none. */
  at(pointer: string): Cursor | null {
    return tokens(pointer).reduce<Cursor | null>(
      (cursor, token) => cursor?.get(token) ?? null,
      this,
    );
  }

  /** The parts of a map with their keys. */
  entries(): (readonly [string, Cursor])[] {
    if (typeof this.value !== 'object' || this.value === null || Array.isArray(this.value)) {
      return [];
    }
    return this.#parts();
  }

  /** The items of a list. */
  items(): Cursor[] {
    return Array.isArray(this.value) ? this.#parts().map(([, cursor]) => cursor) : [];
  }

  /** The keys of a map. */
  keys(): string[] {
    return typeof this.value === 'object' && this.value !== null && !Array.isArray(this.value)
      ? Object.keys(this.value)
      : [];
  }

  text(): Located<string> | null {
    return typeof this.value === 'string' ? (this as Located<string>) : null;
  }

  integer(): Located<number> | null {
    return typeof this.value === 'number' ? (this as Located<number>) : null;
  }

  /** The texts in a list. */
  texts(): Located<string>[] {
    return this.items().flatMap((item) => item.text() ?? []);
  }

  /** RFC 6901. */
  get #pointer(): string {
    return this.#outer === null ? '' : child(this.#outer.#pointer, this.#token);
  }

  #parts(): (readonly [string, Cursor])[] {
    const parts: (readonly [string, Cursor])[] = [];
    for (let index = 0; index < (this.#ranges?.size ?? 0); index++) {
      const token = this.#ranges?.keyAt(index) ?? String(index);
      const cursor = this.#part(token, index);
      if (cursor !== null) parts.push([token, cursor]);
    }
    return parts;
  }

  #part(token: string, index: number): Cursor | null {
    const ranges = this.#ranges;
    // Of what was left out, only the key is known.
    if (ranges === null || !Object.hasOwn(this.value as object, token)) return null;
    const value: unknown = (this.value as Record<string, unknown>)[token];
    return new Cursor(this.#manifest, value, ranges.inner(index), this, token, index);
  }
}
