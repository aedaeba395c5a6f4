import type { Archive, ArchiveReader } from './archive.js';
import { ReadError, type ByteStream } from './source.js';

/** How much may come out of archives in all. */
export interface ArchiveLimits {
  /** Bytes that may be inflated in all, those read twice counted twice. */
  readonly bytes: number;
  /** Members that may be listed in all. */
  readonly members: number;
}

/** What may still come out of archives, however they lie in each other. */
export class ArchiveBudget {
  readonly #limits: ArchiveLimits;
  #bytes = 0;
  #members = 0;

  constructor(limits: ArchiveLimits) {
    this.#limits = limits;
  }

  /** Bytes that may still be inflated. */
  get bytesLeft(): number {
    return Math.max(0, this.#limits.bytes - this.#bytes);
  }

  /** Throws `ReadError('limit-exceeded')` when these are more than is left. */
  takeBytes(count: number): void {
    this.#bytes += count;
    if (this.#bytes <= this.#limits.bytes) return;
    throw new ReadError(
      'limit-exceeded',
      `what is packed in it is more than ${sizeText(this.#limits.bytes)} in all; the rest is not read`,
    );
  }

  /** Throws as {@link takeBytes}. */
  takeMembers(count: number): void {
    this.#members += count;
    if (this.#members <= this.#limits.members) return;
    throw new ReadError(
      'limit-exceeded',
      `it and the archives in it have more than ${String(this.#limits.members)} members; the rest is not read`,
    );
  }
}

function sizeText(bytes: number): string {
  return bytes < 2 << 20
    ? `${String(bytes)} bytes`
    : `${String(Math.floor(bytes / (1 << 20)))} MiB`;
}

/** The same reader with one budget for everything it opens, so that archives in archives share it. */
export function withBudget(archives: ArchiveReader, budget: ArchiveBudget): ArchiveReader {
  const gunzip = archives.gunzip?.bind(archives);
  return {
    open: async (bytes) => {
      const archive = await archives.open(bytes);
      try {
        budget.takeMembers(archive.members.length);
      } catch (error) {
        await archive.close();
        throw error;
      }
      return budgetedArchive(archive, budget);
    },
    ...(gunzip === undefined
      ? {}
      : {
          gunzip: async (source, limit) => {
            const allowed = Math.min(limit, budget.bytesLeft);
            const inflated = await gunzip(source, allowed);
            if (inflated instanceof Uint8Array) budget.takeBytes(inflated.length);
            // What did not fit was inflated all the same.
            else if (inflated === 'too-large')
              budget.takeBytes(allowed < limit ? Infinity : allowed);
            return inflated;
          },
        }),
  };
}

function budgetedArchive(archive: Archive, budget: ArchiveBudget): Archive {
  return {
    members: archive.members,
    read: async function* (member): ByteStream {
      for await (const chunk of archive.read(member)) {
        budget.takeBytes(chunk.length);
        yield chunk;
      }
    },
    close: () => archive.close(),
  };
}
