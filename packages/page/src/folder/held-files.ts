import { ReadError } from '@firmtally/core';

/** Fetches files by their places in the order of a folder; null for one that is gone. */
export type Fetch = (indexes: readonly number[]) => Promise<readonly (File | null)[]>;

/** Files fetched at a time: to hand one over takes the page a third of a millisecond, in which nothing else happens there. */
const MOST_AHEAD = 40;

/**
 * The files of a folder that the page holds. Their paths are known; a file is
 * fetched when it is first needed, and with it, once one after another is
 * needed, those that follow it by path.
 */
export class HeldFiles {
  readonly #fetch: Fetch;
  readonly #indexes = new Map<string, number>();
  readonly #fetched = new Map<string, File | null | Promise<void>>();
  #order: {
    readonly paths: readonly string[];
    readonly places: ReadonlyMap<string, number>;
  } | null = null;
  #next = -1;
  #ahead = 1;

  constructor(fetch: Fetch) {
    this.#fetch = fetch;
  }

  add(paths: readonly string[]): void {
    for (const path of paths) this.#indexes.set(path, this.#indexes.size);
    this.#order = null;
  }

  get size(): number {
    return this.#indexes.size;
  }

  paths(): readonly string[] {
    return [...this.#indexes.keys()];
  }

  /** The file, at once when it is here already. Throws ReadError when there is none. */
  at(path: string): File | Promise<File> {
    const known = this.#fetched.get(path);
    if (known instanceof File) return known;
    return this.#wait(path, known);
  }

  async #wait(path: string, known: null | undefined | Promise<void>): Promise<File> {
    if (!this.#indexes.has(path)) throw new ReadError('vanished', 'it was not picked');
    if (known === undefined) this.#fetchFrom(path);
    await this.#fetched.get(path);
    const file = this.#fetched.get(path);
    if (file instanceof File) return file;
    throw new ReadError('changed-while-read', 'it changed or went away after it was picked');
  }

  #fetchFrom(path: string): void {
    const { paths, places } = (this.#order ??= this.#sorted());
    const from = places.get(path) ?? 0;
    this.#ahead = from === this.#next ? Math.min(MOST_AHEAD, this.#ahead * 2) : 1;
    const wanted = paths.slice(from, from + this.#ahead).filter((each) => !this.#fetched.has(each));
    this.#next = from + this.#ahead;
    const fetching = this.#fetch(wanted.map((each) => this.#indexes.get(each) ?? 0)).then(
      (files) => {
        for (const [at, each] of wanted.entries()) this.#fetched.set(each, files[at] ?? null);
      },
    );
    for (const each of wanted) this.#fetched.set(each, fetching);
  }

  #sorted(): { paths: readonly string[]; places: ReadonlyMap<string, number> } {
    const paths = [...this.#indexes.keys()].sort();
    return { paths, places: new Map(paths.map((path, at) => [path, at])) };
  }
}
