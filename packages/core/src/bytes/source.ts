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

/** Where a link leads. `resolvesTo` is set only for a regular file inside the root. */
export interface LinkTarget {
  readonly resolvesTo: string | null;
  /** Why the link is not read; null when `resolvesTo` is set. */
  readonly fault: 'outside-root' | 'broken-link' | 'not-a-file' | null;
}

/** One thing found in the root. */
export interface Entry {
  readonly path: string;
  readonly kind: EntryKind;
  /** Bytes; of the target for a link that resolves; 0 for anything not readable. */
  readonly size: number;
  /** Last modification, ms since the Unix epoch, when the source knows it. */
  readonly modified?: number;
  /** Present exactly when `kind` is `link`. */
  readonly link?: LinkTarget;
}

/** Whether an entry's bytes may be read at all. */
export function isReadable(entry: Entry): boolean {
  return entry.kind === 'file' || typeof entry.link?.resolvesTo === 'string';
}

/** Stable codes of everything that can go wrong with one path. */
export type FaultCode =
  | 'not-a-file'
  | 'outside-root'
  | 'broken-link'
  | 'permission-denied'
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
  constructor(code: FaultCode, message: string, options?: ErrorOptions) {
    super(message, options);
    this.code = code;
  }
}

/** Opens files by path. */
export interface ContentSource {
  /**
   * Streams a file, or the part of it in `range` (clipped to the file's end).
   * Errors surface as {@link ReadError} while iterating.
   */
  open(path: string, range?: ByteRange): ByteStream;
}

/** A root folder: what is in it, and the bytes. */
export interface FolderSource extends ContentSource {
  /** Every entry below the root in no particular order, and a fault for what could not be listed. */
  list(): AsyncIterable<Entry | Fault>;
}

/** Random access to one blob of bytes, for archives. */
export interface RandomAccess {
  /** Bytes. */
  readonly size: number;
  read(range: ByteRange): ByteStream;
}
