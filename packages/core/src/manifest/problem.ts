/** An error makes a manifest invalid; a warning does not. */
export type Severity = 'error' | 'warning';

/** What a manifest is held to. docs/rules.md explains each with a wrong and a right example. */
export interface Rule {
  /** Stable, kebab-case; also the anchor in docs/rules.md. */
  readonly id: string;
  readonly severity: Severity;
  /** One plain sentence. */
  readonly description: string;
}

/** One thing wrong with a manifest, as data; text frames are made from it later. */
export interface Problem {
  /** Stable rule id, kebab-case. */
  readonly rule: string;
  readonly severity: Severity;
  /** Plain words, one sentence. */
  readonly message: string;
  readonly file: string;
  /** From 1. */
  readonly line: number;
  /** From 1, in UTF-16 units. */
  readonly column: number;
  readonly endLine: number;
  /** One after the last. */
  readonly endColumn: number;
  /** RFC 6901 JSON Pointer into the document. */
  readonly pointer: string;
  /** The nearest name that would be right, or what to write instead; null when there is none. */
  readonly suggestion: string | null;
  /** What to do, in words, when it is not simply something else to write. */
  readonly advice: string | null;
  /** Other places that take part, e.g. where the first of two duplicates is. */
  readonly related: readonly RelatedLocation[];
}

/** Another place that a problem has to do with. */
export interface RelatedLocation {
  readonly message: string;
  readonly file: string;
  readonly line: number;
  readonly column: number;
}
