/** What ajv's compiled validators leave in `errors`. */
export interface SchemaError {
  readonly keyword: string;
  readonly instancePath: string;
  readonly schemaPath: string;
  readonly params: Readonly<Record<string, unknown>>;
  /** Set on the errors of a key's own form. */
  readonly propertyName?: string;
}
