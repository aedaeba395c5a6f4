import type { Fact } from '../facts/fact-values.js';
import type { ContainerStep } from '../recognise/containers.js';

/** Every diagnosis, in the order they are looked for in the manifest's favour. All but `truncated` and `unknown` are proven. */
export const DIAGNOSES = [
  'list-slip',
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
/** Why a file is not the firmware it should be. */
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
  | ContainerStep;

/** How to get the dump back out of the damaged file: one step, or several in order. */
export type Remedy =
  RemedyStep | { readonly kind: 'sequence'; readonly steps: readonly RemedyStep[] };

interface Common {
  /** What is so, most telling first; never empty. */
  readonly facts: readonly Fact[];
}

/** Undoing the damage in memory gave every expected digest. */
export interface Restored extends Common {
  readonly kind:
    | 'padded'
    | 'extra-header'
    | 'byte-swapped'
    | 'word-swapped'
    | 'doubled'
    | 'halves-interleaved'
    | 'text-mangled'
    | 'wrapped';
  readonly proven: true;
  /** Id of the firmware the bytes are once undone. */
  readonly firmware: string;
  /** Label of the dump they become; null for a ZIP that has all members. */
  readonly dump: string | null;
  /** How to undo it; null for a ZIP's member, as the ZIP itself is not rewritten. */
  readonly remedy: Remedy | null;
}

/** The bytes are, as they stand, those of another entry (or of another member). */
export interface OtherFirmware extends Common {
  readonly kind: 'other-firmware';
  readonly proven: true;
  readonly firmware: string;
  /** Null for a ZIP recognised by its members. */
  readonly dump: string | null;
  readonly remedy: null;
}

/** A digest of the dump is the file's, and another value given of it is not. */
export interface ListSlip extends Common {
  readonly kind: 'list-slip';
  readonly proven: true;
  readonly firmware: string;
  readonly dump: string;
  readonly remedy: null;
}

/** The bytes themselves say it. */
export interface SelfEvident extends Common {
  readonly kind: 'web-page' | 'blank' | 'empty';
  readonly proven: true;
  readonly firmware: null;
  readonly dump: null;
  readonly remedy: null;
}

/** What the size suggests, or nothing. */
export interface Unproven extends Common {
  readonly kind: 'truncated' | 'unknown';
  readonly proven: false;
  readonly firmware: null;
  readonly dump: null;
  readonly remedy: null;
}

/** Why a file's bytes are not those of any dump of an entry. `kind` tells the cases apart. */
export type Diagnosis = Restored | OtherFirmware | ListSlip | SelfEvident | Unproven;
