import type { Fault } from '../bytes/source.js';
import type { DiagnosisKind } from '../diagnose/diagnosis.js';
import type { Digests } from '../bytes/digests.js';
import type { Advice } from '../facts/advice-values.js';
import type { Fact } from '../facts/fact-values.js';
import type { ContainerStep } from '../recognise/containers.js';

/** An entry a file satisfies. */
export interface RecognisedAs {
  readonly id: string;
  /** Label of the dump; null for a ZIP recognised by its members. */
  readonly dump: string | null;
  /** Ids of the systems that name the entry, sorted. */
  readonly systems: readonly string[];
}

/** What one file, or one thing inside it, turned out to be; data-schemas/identification.schema.json describes it. */
export interface Identification {
  /** As shown: the source as it was named, and for a folder what is below it. */
  readonly path: string;
  /** The way into ZIP and gzip files, outermost first; empty for the file itself. */
  readonly inside: readonly ContainerStep[];
  /** Bytes, uncompressed. */
  readonly size: number;
  /** Null when nothing about it made it worth hashing. */
  readonly digests: Digests | null;
  /** Every entry these bytes satisfy, in id order. */
  readonly firmware: readonly RecognisedAs[];
  /** What is wrong with it, as seen from `nearest`. */
  readonly diagnosis: DiagnosisKind | null;
  /** Id of the entry it was or should have been; null when it is unrelated, or recognised. */
  readonly nearest: string | null;
  readonly facts: readonly Fact[];
  /** Null when there is nothing to do. */
  readonly advice: Advice | null;
}

/** What a pile holds. Same input, same bytes: rows are sorted by path, then by the way inside. */
export interface IdentificationDocument {
  readonly identification: 1;
  readonly tool: { readonly name: string; readonly version: string };
  readonly files: readonly Identification[];
  /** What could not be read, sorted by path as shown. */
  readonly faults: readonly Fault[];
  readonly totals: IdentificationTotals;
}

/** How many rows there are of each kind. */
export interface IdentificationTotals {
  readonly files: number;
  readonly recognised: number;
  readonly needAttention: number;
  readonly unrelated: number;
  /** How many may be damaged dumps but were not examined, to keep the time bounded. */
  readonly notExamined: number;
}

/** The three things a file can be here. */
export type Recognition = 'recognised' | 'needs-attention' | 'unrelated';

/**
 * `needs-attention`: it has to do with an entry, but does not satisfy it as it is.
 *
 * @example
 * recognitionOf({ firmware: [], nearest: 'osprey-boot' }); // => 'needs-attention'
 */
export function recognitionOf({
  firmware,
  nearest,
}: Pick<Identification, 'firmware' | 'nearest'>): Recognition {
  if (firmware.length > 0) return 'recognised';
  return nearest === null ? 'unrelated' : 'needs-attention';
}
