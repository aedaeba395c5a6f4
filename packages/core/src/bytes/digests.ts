/** Algorithms in the order they are shown. CRC-32 is ISO-HDLC (as ZIP), MD5 RFC 1321, SHA-1 and SHA-256 FIPS 180-4. */
export const ALGORITHMS = ['crc32', 'md5', 'sha1', 'sha256'] as const;
/** A digest algorithm. */
export type Algorithm = (typeof ALGORITHMS)[number];

/** Hex digits of each algorithm's digest. */
export const DIGEST_LENGTH: Readonly<Record<Algorithm, number>> = {
  crc32: 8,
  md5: 32,
  sha1: 40,
  sha256: 64,
};

/** How people write the names of algorithms. */
export const ALGORITHM_NAMES: Readonly<Record<Algorithm, string>> = {
  crc32: 'CRC-32',
  md5: 'MD5',
  sha1: 'SHA-1',
  sha256: 'SHA-256',
};

/** The algorithms asked for, each once, in {@link ALGORITHMS} order. */
export function sortAlgorithms(algorithms: readonly Algorithm[]): Algorithm[] {
  return ALGORITHMS.filter((algorithm) => algorithms.includes(algorithm));
}

/** Digests as lower-case hex. Only the algorithms asked for are present. */
export type Digests = Readonly<Partial<Record<Algorithm, string>>>;

/** Size in bytes and digests of one whole stream. */
export interface StreamDigests {
  readonly size: number;
  readonly digests: Digests;
  /** The value of every byte when all are 00 or all are FF; absent otherwise, or when nobody looked. */
  readonly fill?: number;
}

/** What hashing one stream or file takes. */
export interface DigestOptions {
  /** Told how many more bytes are done, at least every 8 MiB; negative when they are to be read again. What it throws, the call rejects with. */
  readonly onBytes?: ((count: number) => void) | undefined;
  /** Ends the work; the call rejects with its reason. */
  readonly signal?: AbortSignal | undefined;
}
