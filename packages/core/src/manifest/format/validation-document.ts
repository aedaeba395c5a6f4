import type { Problem, RelatedLocation, Severity } from '../problem.js';

/** `validate --format json`; data-schemas/validation.schema.json describes it. */
export interface ValidationDocument {
  readonly validation: 1;
  readonly problems: readonly {
    readonly rule: string;
    readonly severity: Severity;
    readonly message: string;
    readonly file: string;
    readonly line: number;
    readonly column: number;
    readonly endLine: number;
    readonly endColumn: number;
    readonly pointer: string;
    /** What to write instead, or else what to do. */
    readonly suggestion: string | null;
    readonly related: readonly RelatedLocation[];
  }[];
}

/** Problems as the document that `validate --format json` prints. */
/** Problems as the JSON document that data-schemas/validation.schema.json describes. */
export function validationDocument(problems: readonly Problem[]): ValidationDocument {
  return {
    validation: 1,
    problems: problems.map(({ suggestion, advice, related, ...problem }) => ({
      ...problem,
      suggestion: suggestion ?? advice,
      related,
    })),
  };
}
