import type { Located } from '../written.js';
import type { ParsedManifest } from '../parse/parse-text.js';
import { child, tokens } from '../parse/pointer.js';
import type { Spot, TextRange } from '../parse/source-text.js';
import type { EntryRanges } from '../parse/to-value.js';

/** A value in a parsed manifest, with its place. Asking for what is not there, or not of that type, gives null or nothing. */
export class Cursor {
  readonly value: unknown;
  /** Of the value. */
  readonly spot: Spot;
  /** Of the key in front of it; of the value itself in a list. */
  readonly keySpot: Spot;
  readonly #manifest: ParsedManifest;

  private constructor(manifest: ParsedManifest, value: unknown, spot: Spot, keySpot: Spot) {
    this.#manifest = manifest;
    this.value = value;
    this.spot = spot;
    this.keySpot = keySpot;
  }

  static root(manifest: ParsedManifest): Cursor {
    const spot = { source: manifest.source, range: manifest.range, pointer: '' };
    return new Cursor(manifest, manifest.value, spot, spot);
  }

  /** The part under a key or index. */
  get(token: string): Cursor | null {
    if (typeof this.value !== 'object' || this.value === null) return null;
    if (!Object.hasOwn(this.value, token)) return null;
    const value: unknown = (this.value as Record<string, unknown>)[token];
    const ranges = this.#manifest.ranges.get(this.value);
    const { source } = this.#manifest;
    const pointer = child(this.spot.pointer, token);
    if (ranges instanceof Map) {
      const entry = (ranges as ReadonlyMap<string, EntryRanges>).get(token);
      const range = entry?.value ?? this.spot.range;
      return new Cursor(
        this.#manifest,
        value,
        { source, range, pointer },
        { source, range: entry?.key ?? range, pointer },
      );
    }
    const range = (ranges as readonly TextRange[] | undefined)?.[Number(token)] ?? this.spot.range;
    const spot = { source, range, pointer };
    return new Cursor(this.#manifest, value, spot, spot);
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

  text(): Located<string> | null {
    return typeof this.value === 'string' ? { value: this.value, spot: this.spot } : null;
  }

  integer(): Located<number> | null {
    return typeof this.value === 'number' ? { value: this.value, spot: this.spot } : null;
  }

  /** The texts in a list. */
  texts(): Located<string>[] {
    return this.items().flatMap((item) => item.text() ?? []);
  }

  #parts(): (readonly [string, Cursor])[] {
    return Object.keys(this.value as object).flatMap((key) => {
      const cursor = this.get(key);
      return cursor === null ? [] : [[key, cursor] as const];
    });
  }
}
