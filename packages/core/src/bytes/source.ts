import type { Algorithm, DigestOptions, StreamDigests } from './digests.js';

/**
 * How the core gets its bytes. The host (or a web page) implements these; the
 * core never opens anything itself.
 *
 * Paths are '/'-joined names relative to the root, never starting or ending
 * with '/'. A name that is not valid UTF-8 carries each undecodable byte 0xNN
 * as the lone surrogate U+DCNN, so that every name stays distinct and can be
 * turned back into its bytes.
 */

/** File content as it arrives. A chunk is only valid until the next one is asked for. */
export type ByteStream = AsyncIterable<Uint8Array>;

/** Half-open byte range, `start` inclusive, `end` exclusive. */
export interface ByteRange {
  readonly start: number;
  readonly end: number;
}

/** What a directory entry is. Only `file`, and `link` with `link.resolvesTo`, are ever opened. */
export type EntryKind = 'file' | 'folder' | 'link' | 'fifo' | 'socket' | 'device' | 'unknown';

/** Why a link is not read. The last two: where it leads could not be found out. */
export type LinkFault = Extract<
  FaultCode,
  'outside-root' | 'broken-link' | 'not-a-file' | 'permission-denied' | 'io-error'
>;

/** Where a link leads. `resolvesTo` is set only for a regular file inside the root. */
export interface LinkTarget {
  readonly resolvesTo: string | null;
  /** Why the link is not read; null when `resolvesTo` is set. */
  readonly fault: LinkFault | null;
}

/** One thing found in the root: its name and what it is. */
export interface Listed {
  readonly path: string;
  readonly kind: EntryKind;
  /** Present exactly when `kind` is `link`. */
  readonly link?: LinkTarget;
}

/** One thing found in the root, and how big it is. */
export interface Entry extends Listed {
  /** Bytes; of the target for a link that resolves; 0 for anything not readable. */
  readonly size: number;
  /** Last modification, ms since the Unix epoch, when the source knows it. */
  readonly modified?: number;
}

/**
 * Whether an entry's bytes may be read at all.
 *
 * @example
 * isReadable({ path: 'pipe', kind: 'fifo' }); // => false
 */
export function isReadable(entry: Listed): boolean {
  return entry.kind === 'file' || typeof entry.link?.resolvesTo === 'string';
}

/** Stable codes of everything that can go wrong with one path. */
export type FaultCode =
  | 'not-a-file'
  | 'outside-root'
  | 'broken-link'
  | 'permission-denied'
  | 'busy'
  | 'vanished'
  | 'changed-while-read'
  | 'bad-archive'
  | 'limit-exceeded'
  | 'io-error';

/** Something that could not be read. Faults are collected, not thrown: one bad file never hides the rest. */
export interface Fault {
  readonly path: string;
  readonly code: FaultCode;
  /** One plain sentence, without the path. */
  readonly message: string;
}

/** Thrown while reading one file; becomes a {@link Fault} row. */
export class ReadError extends Error {
  override readonly name = 'ReadError';
  readonly code: FaultCode;
  /** What stands there in place of a file, where `code` is `not-a-file` and it is known; else null. */
  readonly kind: EntryKind | null;
  constructor(
    code: FaultCode,
    message: string,
    options: ErrorOptions & { readonly kind?: EntryKind | null } = {},
  ) {
    super(message, options);
    this.code = code;
    this.kind = options.kind ?? null;
  }
}

/** Opens files by path. */
export interface ContentSource {
  /**
   * Streams a file, or the part of it in `range` (clipped to the file's end).
   * Errors surface as {@link ReadError} while iterating.
   */
  open(path: string, range?: ByteRange): ByteStream;
  /**
   * For a source that hashes its files faster than they can be read through
   * `open`, on threads for instance. Without it they are read, and hashed with
   * the engine that the task is given. Rejects with {@link ReadError}.
   */
  digestFile?(
    path: string,
    algorithms: readonly Algorithm[],
    options?: DigestOptions,
  ): Promise<StreamDigests>;
}

/** What listing a folder takes. */
export interface ListOptions {
  /** Ends the listing; its reason is thrown. */
  readonly signal?: AbortSignal | undefined;
}

/** A root folder: what is in it, and the bytes. */
export interface FolderSource extends ContentSource {
  /** Every entry below the root in no particular order, and a fault for what could not be listed. */
  list(options?: ListOptions): AsyncIterable<Entry | Fault>;
  /** For a source to which sizes cost more than names. A source that knows them anyway leaves it out. */
  readonly names?: NameSource;
}

/** A folder of a pile, or a single file of it. */
export interface PileSource {
  /** As the person named it, with '/' separators; for a folder, the paths below it are joined to this. */
  readonly name: string;
  /** `file`: the folder lists that one file, and `name` is its whole path. */
  readonly kind: 'file' | 'folder';
  readonly folder: FolderSource;
}

/** Names first, sizes of those that matter later. */
export interface NameSource {
  /** As {@link FolderSource.list}, without sizes; one by one, or several at once, which is quicker. */
  list(options?: ListOptions): AsyncIterable<Listed | Fault | readonly (Listed | Fault)[]>;
  /** Size and time of one entry that was listed. Throws {@link ReadError}; `vanished` when it is gone. */
  stat(entry: Listed): Entry | Promise<Entry>;
}

/** Random access to one blob of bytes, for archives. */
export interface RandomAccess {
  /** Bytes. */
  readonly size: number;
  read(range: ByteRange): ByteStream;
}
