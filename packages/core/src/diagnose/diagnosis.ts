/** Every diagnosis. All but `truncated` and `unknown` are proven. */
export const DIAGNOSES = [
  'truncated',
  'padded',
  'extra-header',
  'byte-swapped',
  'word-swapped',
  'doubled',
  'halves-interleaved',
  'text-mangled',
  'wrapped',
  'web-page',
  'blank',
  'other-firmware',
  'empty',
  'unknown',
] as const;
export type DiagnosisKind = (typeof DIAGNOSES)[number];

/** One step that gets the dump back out of the damaged file, as data; `applyRemedy` performs it. */
export type RemedyStep =
  /** Keeps the bytes from `start` (inclusive) to `end` (exclusive). */
  | { readonly kind: 'slice'; readonly start: number; readonly end: number }
  /** Reverses the bytes of each group of `unit` bytes; an incomplete last group stays as it is. */
  | { readonly kind: 'swap'; readonly unit: 2 | 4 }
  /** Exchanges the two 16-bit halves of each group of 4 bytes. */
  | { readonly kind: 'swap-halves' }
  /**
   * `deinterleave`: bytes at even offsets first, then those at odd offsets.
   * `interleave`: the first half goes to even offsets, the second to odd ones.
   * With `oddFirst` even and odd change places.
   */
  | { readonly kind: 'deinterleave' | 'interleave'; readonly oddFirst?: true }
  /** `crlf`: CR LF becomes LF. `lf`: LF becomes CR LF. `cr`: CR becomes LF. */
  | { readonly kind: 'newlines'; readonly from: 'crlf' | 'lf' | 'cr' }
  | { readonly kind: 'gunzip' }
  | { readonly kind: 'unzip'; readonly member: string };

/** How to get the dump back out of the damaged file: one step, or several in order. */
export type Remedy =
  RemedyStep | { readonly kind: 'sequence'; readonly steps: readonly RemedyStep[] };

/** Why a file's bytes are not those of any dump of an entry. */
export interface Diagnosis {
  readonly kind: DiagnosisKind;
  /** Whether undoing it in memory gave every expected digest (or, for web-page, blank and empty, whether the bytes say so). */
  readonly proven: boolean;
  /** Firmware the bytes are, once undone; the entry itself, or another for `other-firmware`. */
  readonly firmware: string | null;
  /** Label of the dump the bytes become once undone; null unless proven so. */
  readonly dump: string | null;
  /** How to undo it; null when it cannot be undone. */
  readonly remedy: Remedy | null;
  /** One plain sentence of fact, e.g. "512 extra bytes stand before the dump". */
  readonly detail: string;
  /** Set where a ZIP's member cannot be read: `encrypted`, or damaged or of an unsupported method. */
  readonly unreadable?: 'encrypted' | 'unreadable';
}
