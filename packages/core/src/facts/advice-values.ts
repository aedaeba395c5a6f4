import type { ComparedValue, WrittenAt } from './fact-values.js';

/** How a corrected copy differs from the damaged file. */
export type Correction =
  | 'without-bytes-after'
  | 'without-bytes-before'
  | 'bytes-in-order'
  | 'halves-in-order'
  | 'only-once'
  | 'line-endings-back'
  | 'unwrapped';

/**
 * What a person can do, by code. Paths are '/'-joined below the root, names
 * are as they were found or written.
 */
export interface AdviceValues {
  /** It is there; a digest of a good dump in the manifest would have it checked. */
  readonly 'add-digest': { readonly firmware: string };
  /** A good dump belongs at `path`; `blockedBy` stands where a folder of it belongs. */
  readonly 'put-dump': { readonly path: string; readonly blockedBy: string | null };
  /** The file at `from` belongs at `path`. */
  readonly 'copy-there': {
    readonly from: string;
    readonly path: string;
    readonly blockedBy: string | null;
  };
  /** Only the letter case is wrong. `to` is a name when the folder is right, else a path. */
  readonly 'rename-to': { readonly from: string; readonly to: string };
  /** The right bytes lie at `from`. */
  readonly 'replace-with': { readonly from: string };
  /** A good dump has to take its place. */
  readonly replace: object;
  /** A corrected copy can be made of it. */
  readonly repair: { readonly correction: Correction };
  /** The manifest's values disagree with each other: look them up again. */
  readonly 'check-manifest': {
    readonly location: WrittenAt | null;
    readonly values: readonly ComparedValue['value'][];
  };
  /** The file belongs to another firmware, and the right one here. */
  readonly 'exchange-with': { readonly firmware: string };
  readonly 'copy-again': { readonly because: 'cut-short' | 'empty' };
  readonly 'dump-again': { readonly because: 'blank' | 'unknown' };
  readonly 'replace-web-page': object;
  /** Why the ZIP has to be made again, or copied again. */
  readonly 'make-zip-again': {
    readonly because: 'wrong-members' | 'names-mixed-up' | 'encrypted' | 'unreadable' | 'damaged';
  };
  /** Bytes for inside a ZIP lie outside one. */
  readonly 'put-into-zip': { readonly firmware: string };
  /** Nothing is known of it. */
  readonly 'look-for-revision': object;
  readonly 'move-aside': { readonly path: string };
  readonly 'replace-link': object;
  /** `path` may not be read; null is the file itself. */
  readonly 'allow-reading': { readonly path: string | null };
  readonly 'close-program': object;
  readonly 'check-card': object;
  readonly 'wait-and-repeat': object;
  readonly 'try-another-reader': object;
  /** Files have other bytes, though their sizes and times are those of an earlier report. */
  readonly 'save-card': object;
}

/** Stable codes of advice. */
export type AdviceCode = keyof AdviceValues;

/** One thing to do: its code, its values, and a plain English sentence made from them. */
export type Advice<Code extends AdviceCode = AdviceCode> = {
  [Each in Code]: { readonly code: Each; readonly text: string } & AdviceValues[Each];
}[Code];
