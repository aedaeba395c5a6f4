import { contentPath } from '../bytes/entry-content.js';
import type { ProgressCount } from '../bytes/progress.js';
import type { Algorithm, StreamDigests } from '../bytes/digests.js';
import type { ContentSource, Entry } from '../bytes/source.js';
import type { DigestEngine } from '../digest/engine.js';
import { digestFile } from '../digest/stream.js';

/** Digests of files, each read at most once for the same algorithms. */
export class FileDigests {
  readonly #folder: ContentSource;
  readonly #engine: DigestEngine;
  readonly #count: ProgressCount;
  readonly #known = new Map<string, Promise<StreamDigests>>();

  constructor(folder: ContentSource, engine: DigestEngine, count: ProgressCount) {
    this.#folder = folder;
    this.#engine = engine;
    this.#count = count;
  }

  /** Throws ReadError; asking again gives the same error without reading again. */
  async of(entry: Entry, algorithms: readonly Algorithm[]): Promise<StreamDigests> {
    const path = contentPath(entry);
    const known = this.#known.get(path);
    if (known !== undefined) {
      const digests = await known;
      if (algorithms.every((algorithm) => digests.digests[algorithm] !== undefined)) return digests;
    }
    const reading = this.#read(path, entry.size, algorithms);
    this.#known.set(path, reading);
    return reading;
  }

  async #read(
    path: string,
    size: number,
    algorithms: readonly Algorithm[],
  ): Promise<StreamDigests> {
    this.#count.expect(size);
    try {
      return await digestFile(this.#folder, path, algorithms, this.#engine, {
        onBytes: (count) => this.#count.advance(count, path),
      });
    } finally {
      this.#count.done(path);
    }
  }
}
