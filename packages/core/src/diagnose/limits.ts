/** Bounds on the work and memory one diagnosis may take. */
export interface DiagnosisLimits {
  /** Bytes. Of larger files the size, the first bytes and digests taken already are all that is looked at. */
  readonly wholeFileBytes: number;
  /** Bytes taken out of a gzip file or one ZIP member before giving up on it. */
  readonly inflatedBytes: number;
  /** Bytes taken out of containers in all. */
  readonly inflatedInAll: number;
  /** How many byte strings are hashed to prove a guess. */
  readonly hashPasses: number;
  /** Bytes hashed in all; this is what bounds the time. */
  readonly hashedBytes: number;
  /** ZIP members read in search of the dump. */
  readonly zipMembers: number;
  /** Bytes read from the front to recognise a web page or a container. */
  readonly headBytes: number;
}

const MEBIBYTE = 1024 * 1024;

/**
 * Own choices, not from a source. Memory stays below the file, its inflated
 * content and one rearranged copy: about 3 x 64 MiB at the very worst, a few
 * times the file's size in practice. Time is bounded by `hashedBytes`, some
 * seconds with every algorithm.
 */
export const DIAGNOSIS_LIMITS: DiagnosisLimits = {
  wholeFileBytes: 64 * MEBIBYTE,
  inflatedBytes: 64 * MEBIBYTE,
  inflatedInAll: 256 * MEBIBYTE,
  hashPasses: 128,
  hashedBytes: 2048 * MEBIBYTE,
  zipMembers: 64,
  headBytes: 1024,
};
