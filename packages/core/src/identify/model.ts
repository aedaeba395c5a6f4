import type { ContentSource, Entry, Fault } from '../bytes/source.js';
import type { Diagnosis, DiagnosisKind } from '../diagnose/diagnosis.js';
import type { Digests, FileDigester } from '../digest/engine.js';

/** One file or folder that was named to be identified. */
export interface PileSource {
  /** As named, with '/' separators. For a folder, the paths below it are joined to this. */
  readonly shown: string;
  /** For a file there is one entry, and `shown` is its whole path. */
  readonly kind: 'file' | 'folder';
  readonly entries: AsyncIterable<Entry | Fault>;
  readonly content: ContentSource;
  readonly digester: FileDigester;
}

/** An entry a file satisfies. */
export interface RecognisedAs {
  readonly id: string;
  /** Label of the dump; null for a ZIP recognised by its members. */
  readonly dump: string | null;
  /** Ids of the systems that name the entry, sorted. */
  readonly systems: readonly string[];
}

/** What one file, or one member of a ZIP, turned out to be. */
export interface IdentifiedFile {
  readonly source: PileSource;
  /** Path of the file, or of the ZIP, in `source.content`. */
  readonly entryPath: string;
  /** As shown. */
  readonly path: string;
  /** Path inside the ZIP; null for the file itself. */
  readonly member: string | null;
  /** Bytes; of a member uncompressed. */
  readonly size: number;
  /** Null when nothing about it made it worth hashing. */
  readonly digests: Digests | null;
  /** Every entry these bytes satisfy, in id order. */
  readonly firmware: readonly RecognisedAs[];
  /** What is wrong with it, as seen from `nearest`. */
  readonly diagnosis: Diagnosis | null;
  /** Id of the entry it was or should have been; null when it is unrelated, or recognised. */
  readonly nearest: string | null;
  readonly detail: string | null;
  readonly advice: string | null;
}

export interface IdentifiedPile {
  /** Sorted by path, then member. */
  readonly files: readonly IdentifiedFile[];
  /** What could not be read, sorted by path as shown. */
  readonly faults: readonly Fault[];
  /** Files and members that may be damaged dumps but were not examined, to keep the time bounded. */
  readonly notExamined: number;
}

/** The three things a file can be here. */
export type Recognition = 'recognised' | 'needs-attention' | 'unrelated';

/** `needs-attention`: it has to do with an entry, but does not satisfy it as it is. */
export function recognitionOf(file: Pick<IdentifiedFile, 'firmware' | 'nearest'>): Recognition {
  if (file.firmware.length > 0) return 'recognised';
  return file.nearest === null ? 'unrelated' : 'needs-attention';
}

/** One file in the document; data-schemas/identification.schema.json describes it. */
export interface Identification {
  readonly path: string;
  readonly member: string | null;
  readonly size: number;
  readonly firmware: readonly RecognisedAs[];
  readonly diagnosis: DiagnosisKind | null;
  readonly nearest: string | null;
  /** One plain sentence of fact; null when there is nothing to say. */
  readonly detail: string | null;
  /** One plain sentence saying what to do; null when nothing is needed. */
  readonly advice: string | null;
}

export interface IdentificationDocument {
  readonly identification: 1;
  readonly files: readonly Identification[];
  readonly faults: readonly Fault[];
  readonly totals: IdentificationTotals;
}

/** How many files there were of each kind. */
export interface IdentificationTotals {
  readonly files: number;
  readonly recognised: number;
  readonly needAttention: number;
  readonly unrelated: number;
  /** Of the unrelated: how many may be damaged dumps but were not examined, to keep the time bounded. */
  readonly notExamined: number;
}
