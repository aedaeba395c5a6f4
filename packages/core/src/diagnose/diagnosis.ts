/** Every reason a file's bytes can be the wrong ones. */
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

/** How to get the dump back out of the damaged file, as data; `applyRemedy` performs it. */
export type Remedy =
  | { readonly kind: 'slice'; readonly start: number; readonly end: number }
  | { readonly kind: 'swap'; readonly unit: 2 | 4 }
  | { readonly kind: 'deinterleave' | 'interleave' }
  | { readonly kind: 'newlines'; readonly from: 'crlf' | 'lf' | 'cr' }
  | { readonly kind: 'gunzip' }
  | { readonly kind: 'unzip'; readonly member: string };

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
}
