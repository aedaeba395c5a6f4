import type { SourceText, TextRange } from './source-text.js';
import type { WrittenRanges } from './written-ranges.js';

export interface ParsedValue {
  /** Maps are objects that inherit nothing, so that `__proto__` is a key like any other. */
  readonly value: unknown;
  readonly range: TextRange;
  /** Of the value's parts; null when it is no map or list. */
  readonly ranges: WrittenRanges | null;
  /** Whether parts were left out of `value` because they mean nothing. */
  readonly damaged: boolean;
}

/** A manifest's content as plain values that remember where they were written. */
export interface ParsedManifest extends ParsedValue {
  readonly source: SourceText;
  /** Offsets. */
  readonly syntaxErrors: readonly number[];
}
