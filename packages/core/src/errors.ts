/** Stable codes of {@link FirmtallyError}. */
export type ErrorCode =
  | 'usage'
  | 'manifest-invalid'
  | 'manifest-unreadable'
  | 'root-unreadable'
  | 'unknown-system'
  | 'unknown-loadout'
  | 'report-invalid'
  | 'sums-invalid'
  | 'list-invalid'
  /** A caller's own source listed or threw what none may. */
  | 'source-invalid'
  /** The same of an engine, or of what a source hashes itself. */
  | 'engine-invalid'
  /** The same of an archive reader. */
  | 'archives-invalid'
  | 'place-failed'
  | 'root-doubtful'
  | 'io-error';

/**
 * Trouble that ends the whole run (exit code 2), as against a {@link Fault} in
 * one file. `message` names the file and place; `remedy` says what to do.
 */
export class FirmtallyError extends Error {
  override readonly name = 'FirmtallyError';
  readonly code: ErrorCode;
  readonly remedy: string | null;
  constructor(
    code: ErrorCode,
    message: string,
    remedy: string | null = null,
    options?: ErrorOptions,
  ) {
    super(message, options);
    this.code = code;
    this.remedy = remedy;
  }
}
