import { createHash } from 'node:crypto';
import { crc32 } from 'node:zlib';
import {
  ReadError,
  type Algorithm,
  type ByteRange,
  type ByteStream,
  type DigestOptions,
  type DigestEngine,
  type Digests,
  type Entry,
  type EntryKind,
  type Fault,
  type FaultCode,
  type FolderSource,
  type Platform,
} from '@firmtally/core';
import { zipReader } from '@firmtally/host/internal';

/** What a path of a {@link MemoryFolder} is: bytes, something else, a link, or a file that cannot be read. */
export type MemoryItem =
  | Uint8Array
  | string
  | { readonly kind: Exclude<EntryKind, 'file' | 'link'> }
  | { readonly link: string }
  | { readonly outside: true }
  | { readonly unreadable: FaultCode; readonly size: number };

/** A folder that exists only in memory, and counts what of it is digested. */
export class MemoryFolder implements FolderSource {
  readonly items: ReadonlyMap<string, MemoryItem>;
  /** How often each path was digested. */
  readonly digested = new Map<string, number>();
  readonly listFaults: readonly Fault[];
  readonly #modified: number;

  constructor(
    items: Readonly<Record<string, MemoryItem>> | ReadonlyMap<string, MemoryItem>,
    options: { readonly modified?: number; readonly listFaults?: readonly Fault[] } = {},
  ) {
    this.items = items instanceof Map ? items : new Map(Object.entries(items));
    this.#modified = options.modified ?? 0;
    this.listFaults = options.listFaults ?? [];
  }

  // eslint-disable-next-line @typescript-eslint/require-await -- a listing is async by its type
  async *list(): AsyncIterable<Entry | Fault> {
    // Backwards, for a source promises no order.
    for (const [path, item] of [...this.items].reverse()) yield this.#entry(path, item);
    yield* this.listFaults;
  }

  // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
  async *open(path: string, range?: ByteRange): ByteStream {
    const bytes = this.#bytes(path);
    // Small chunks, so that nothing depends on getting all at once.
    const end = Math.min(range?.end ?? bytes.length, bytes.length);
    for (let at = range?.start ?? 0; at < end; at += 1000) {
      yield bytes.subarray(at, Math.min(end, at + 1000));
    }
  }

  async digestFile(
    path: string,
    algorithms: readonly Algorithm[],
    options?: DigestOptions,
  ): Promise<{ size: number; digests: Digests }> {
    this.digested.set(path, (this.digested.get(path) ?? 0) + 1);
    const bytes = this.#bytes(path);
    await Promise.resolve();
    options?.onBytes?.(bytes.length);
    return { size: bytes.length, digests: digestsOf(bytes, algorithms) };
  }

  #bytes(path: string): Uint8Array {
    const item = this.items.get(path);
    if (item instanceof Uint8Array) return item;
    if (typeof item === 'string') return Buffer.from(item);
    if (item !== undefined && 'unreadable' in item) {
      throw new ReadError(item.unreadable, 'it cannot be read in this test');
    }
    throw new ReadError('vanished', 'it is no longer there');
  }

  #entry(path: string, item: MemoryItem): Entry {
    const base = { path, modified: this.#modified };
    if (item instanceof Uint8Array) return { ...base, kind: 'file', size: item.length };
    if (typeof item === 'string') return { ...base, kind: 'file', size: Buffer.byteLength(item) };
    if ('unreadable' in item) return { ...base, kind: 'file', size: item.size };
    if ('kind' in item) return { ...base, kind: item.kind, size: 0 };
    if ('outside' in item) {
      return { ...base, kind: 'link', size: 0, link: { resolvesTo: null, fault: 'outside-root' } };
    }
    const target = this.items.get(item.link);
    if (target instanceof Uint8Array || typeof target === 'string') {
      const size = typeof target === 'string' ? Buffer.byteLength(target) : target.length;
      return { ...base, kind: 'link', size, link: { resolvesTo: item.link, fault: null } };
    }
    const fault = target === undefined ? 'broken-link' : 'not-a-file';
    return { ...base, kind: 'link', size: 0, link: { resolvesTo: null, fault } };
  }
}

/** By node:crypto and zlib, which share no code with the engines under test. */
export function digestsOf(bytes: Uint8Array, algorithms: readonly Algorithm[]): Digests {
  const digests: Partial<Record<Algorithm, string>> = {};
  for (const algorithm of algorithms) {
    digests[algorithm] =
      algorithm === 'crc32'
        ? crc32(bytes).toString(16).padStart(8, '0')
        : createHash(algorithm).update(bytes).digest('hex');
  }
  return digests;
}

/** The same as an engine. */
export const nodeHashes: DigestEngine = {
  name: 'node:crypto',
  create: (algorithms) => {
    const chunks: Uint8Array[] = [];
    return Promise.resolve({
      update: (chunk) => void chunks.push(Uint8Array.from(chunk)),
      digest: () => digestsOf(Buffer.concat(chunks), algorithms),
    });
  },
};

/** What tests work with where nothing else is said. */
export const PLATFORM: Platform & { readonly archives: typeof zipReader } = {
  engine: nodeHashes,
  archives: zipReader,
};
