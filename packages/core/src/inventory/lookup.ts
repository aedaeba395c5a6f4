/**
 * Values by key, where nearly every key has one value: that one is kept bare,
 * so that 100,000 distinct sizes do not cost 100,000 arrays.
 */
export class Lookup<Key, Value extends object> {
  readonly #values = new Map<Key, Value | Value[]>();

  constructor(values: Iterable<Value>, keyOf: (value: Value) => Key) {
    for (const value of values) {
      const key = keyOf(value);
      const there = this.#values.get(key);
      if (there === undefined) this.#values.set(key, value);
      else if (Array.isArray(there)) there.push(value);
      else this.#values.set(key, [there, value]);
    }
  }

  /** In the order the values were given. */
  get(key: Key): readonly Value[] {
    const there = this.#values.get(key);
    if (there === undefined) return [];
    return Array.isArray(there) ? there : [there];
  }
}
