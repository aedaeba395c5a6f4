import type { Firmware } from '../manifest/model.js';

/** Entries that share one expected path. */
export interface Group {
  readonly expectedPath: string;
  /** Those to be placed now, in id order. */
  readonly wanted: readonly Firmware[];
  /** Those whose bytes already stand there, and must stay acceptable. */
  readonly standing: readonly Firmware[];
  /** Whether none of the entries with this path minds its letter case. */
  readonly ignoreCase: boolean;
}
