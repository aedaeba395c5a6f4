import type { ArchiveReader } from '../bytes/archive.js';
import type { Algorithm, Digests } from '../bytes/digests.js';

/** Hashes one stream with several algorithms at once. */
export interface Hasher {
  update(chunk: Uint8Array): void;
  /** Ends this hasher. Called once, also when the stream fails half-way. */
  digest(): Digests;
}

/** Makes hashers. {@link hashWasmEngine} runs everywhere; the host's `nativeEngine` is faster. */
export interface DigestEngine {
  /** As messages name it. */
  readonly name: string;
  create(algorithms: readonly Algorithm[]): Promise<Hasher>;
}

/** What every task works with: how bytes are hashed, and how ZIPs are opened. */
export interface Platform {
  readonly engine: DigestEngine;
  /** Null: ZIPs stay closed, and firmware with `members` is `unreadable`. */
  readonly archives: ArchiveReader | null;
}
