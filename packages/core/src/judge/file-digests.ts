import { contentPath } from '../bytes/entry-content.js';
import type { ProgressCount } from '../bytes/progress.js';
import type { Entry } from '../bytes/source.js';
import type { Algorithm, FileDigester, StreamDigests } from '../digest/engine.js';

/** Digests of files, each read at most once for the same algorithms. */
export class FileDigests {
  readonly #digester: FileDigester;
  readonly #count: ProgressCount;
  readonly #known = new Map<string, Promise<StreamDigests>>();

  constructor(digester: FileDigester, count: ProgressCount) {
    this.#digester = digester;
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
      return await this.#digester.digestFile(path, algorithms, {
        onBytes: (count) => this.#count.advance(count, path),
      });
    } finally {
      this.#count.done(path);
    }
  }
}
