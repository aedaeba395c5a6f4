import type { Problem } from '@firmtally/core';

/** A problem of a manifest, on its first character. */
export function problem(changes: Partial<Problem>): Problem {
  return {
    rule: 'wrong-value',
    severity: 'error',
    message: 'Something is wrong.',
    file: 'm.yaml',
    line: 1,
    column: 1,
    endLine: 1,
    endColumn: 2,
    pointer: '',
    suggestion: null,
    advice: null,
    related: [],
    ...changes,
  };
}
