const MEBIBYTE = 1024 * 1024;

/** Bounds on what is read in search of dumps. Own choices, not from a source. */
export const RECOGNISE_LIMITS = {
  /** Bytes. A ZIP member larger than this is read only when a dump of it has its size. */
  otherSizeBytes: 64 * MEBIBYTE,
  /** Bytes. A file of another name, larger than this, is not hashed for the sake of dumps without a size. */
  sizelessBytes: 64 * MEBIBYTE,
  /** ZIP and gzip files opened one in the other. */
  depth: 2,
  /** Bytes of a gzip file's content, or of a container inside another: they are held in memory. */
  heldBytes: 64 * MEBIBYTE,
  /** Bytes taken out of one file in all, for a file of no bytes; see `inflatedPerByte`. */
  inflatedBytes: 1024 * MEBIBYTE,
  /** Bytes more that may be taken out of a file for each of its own. */
  inflatedPerByte: 4,
  /** Members listed of one file and the archives in it. */
  members: 200_000,
} as const;
