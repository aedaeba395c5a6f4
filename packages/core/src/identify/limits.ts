const MEBIBYTE = 1024 * 1024;

/** Bounds on looking for damaged copies in a pile. Own choices, not from a source. */
export const PILE_LIMITS = {
  /** Examinations of files because their name is an entry's. */
  examinedByName: 4096,
  /** Examinations of files only because their size could come from a dump's. */
  examinedBySize: 256,
  /** Bytes of the latter in all. */
  examinedBytes: 512 * MEBIBYTE,
  /** Unrelated ZIP members listed in all. */
  listedMembers: 100_000,
  /** Dump sizes one file is compared with when only its size speaks for it. */
  sizesCompared: 8,
} as const;
