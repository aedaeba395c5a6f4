const MEBIBYTE = 1024 * 1024;

/** Bounds on what is read in search of dumps. Own choices, not from a source. */
export const RECOGNISE_LIMITS = {
  /** Bytes. A ZIP member larger than this is read only when a dump of it has its size. */
  otherSizeBytes: 64 * MEBIBYTE,
  /** Bytes. A file of another name, larger than this, is not hashed for the sake of dumps without a size. */
  sizelessBytes: 64 * MEBIBYTE,
} as const;
