import { contentPath } from '../bytes/entry-content.js';
import type { Entry } from '../bytes/source.js';
import type { Algorithm, FileDigester, StreamDigests } from '../digest/engine.js';

/** Told of reading as it goes on. `bytes` counts up to `totalBytes`, which may grow as more files turn out to matter. */
export interface ReadingProgress {
  readonly files: number;
  readonly totalFiles: number;
  readonly bytes: number;
  readonly totalBytes: number;
}

/** Digests of files, each read at most once for the same algorithms. */
export class FileDigests {
  readonly #digester: FileDigester;
  readonly #onProgress: ((progress: ReadingProgress) => void) | undefined;
  readonly #known = new Map<string, Promise<StreamDigests>>();
  #files = 0;
  #totalFiles = 0;
  #bytes = 0;
  #totalBytes = 0;

  constructor(digester: FileDigester, onProgress?: (progress: ReadingProgress) => void) {
    this.#digester = digester;
    this.#onProgress = onProgress;
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
    this.#totalFiles++;
    this.#totalBytes += size;
    this.#tell();
    try {
      return await this.#digester.digestFile(path, algorithms, {
        onBytes: (count) => {
          this.#bytes += count;
          this.#tell();
        },
      });
    } finally {
      this.#files++;
      this.#tell();
    }
  }

  #tell(): void {
    this.#onProgress?.({
      files: this.#files,
      totalFiles: this.#totalFiles,
      bytes: this.#bytes,
      totalBytes: this.#totalBytes,
    });
  }
}
