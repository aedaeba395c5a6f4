/**
 * What is used of Papa Parse. The types that others publish for it bring in
 * Node.js's, which this package must not rest on.
 */
declare module 'papaparse' {
  interface Parsed {
    readonly data: readonly (readonly string[])[];
    /** `row`: index of the row it was met in. */
    readonly errors: readonly { readonly type: string; readonly row?: number }[];
  }
  interface ParseOptions {
    readonly delimiter: string;
    readonly newline: '\n';
    readonly quoteChar: string;
  }
  const papa: { parse(text: string, options: ParseOptions): Parsed };
  export default papa;
}
