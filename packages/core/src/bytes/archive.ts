import type { ByteStream, RandomAccess } from './source.js';

/** One member of a ZIP archive as its central directory states it. */
export interface ArchiveMember {
  /** '/'-joined name as stored. */
  readonly path: string;
  readonly kind: 'file' | 'folder';
  /** Uncompressed bytes, as declared; reading more or fewer is an error. */
  readonly size: number;
  /** CRC-32 as declared, 8 lower-case hex digits. */
  readonly crc32: string;
  readonly encrypted: boolean;
}

/** An open archive. */
export interface Archive {
  readonly members: readonly ArchiveMember[];
  /** Streams a member, uncompressed. Throws `ReadError('bad-archive')` on damage, encryption or a wrong size. */
  read(member: ArchiveMember): ByteStream;
  close(): Promise<void>;
}

/** Opens ZIP archives. The host gives one; without it members entries are `unreadable`. */
export interface ArchiveReader {
  /** Throws `ReadError('bad-archive')` when the bytes are not a ZIP, `('limit-exceeded')` when it has too many members. */
  open(bytes: RandomAccess): Promise<Archive>;
  /**
   * Inflates a gzip stream, at most `limit` bytes of it. Gives the reason instead when the stream
   * is damaged or holds more; errors of `source` itself pass through. Default: DecompressionStream.
   */
  gunzip?(source: ByteStream, limit: number): Promise<Uint8Array | GunzipFailure>;
}

/** Why nothing came out of a gzip stream. */
export type GunzipFailure = 'damaged' | 'too-large';
