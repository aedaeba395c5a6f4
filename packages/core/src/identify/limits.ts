const MEBIBYTE = 1024 * 1024;

/** Own choices, not from a source. */
export const PILE_LIMITS = {
  /** Bytes. A file of another name, larger than this, is not hashed for the sake of dumps without a size. */
  sizelessBytes: 64 * MEBIBYTE,
  /** Files examined for damage because their name is an entry's. */
  examinedByName: 4096,
  /** Files examined for damage only because their size could come from a dump's. */
  examinedBySize: 256,
  /** Bytes of the latter in all. */
  examinedBytes: 512 * MEBIBYTE,
  /** Bytes. ZIP members larger than this are not examined for damage, as they are held in memory. */
  memberBytes: 64 * MEBIBYTE,
  /** Unrelated ZIP members listed in all. */
  listedMembers: 100_000,
  /** Dump sizes one file is compared with when only its size speaks for it. */
  sizesCompared: 8,
  /** Files hashed at once. */
  parallel: 8,
} as const;
