import { SCHEMA_TEXTS } from './generated/schema-texts.js';

/** Documents that have a JSON Schema (draft 2020-12). */
export type SchemaName =
  'digest' | 'identification' | 'manifest' | 'plan' | 'report' | 'validation';

/** The names {@link schemaText} takes. */
export const SCHEMA_NAMES = Object.keys(
  SCHEMA_TEXTS satisfies Readonly<Record<SchemaName, string>>,
) as SchemaName[];

/**
 * The JSON Schema of a document, as text.
 *
 * @example
 * const schema: unknown = JSON.parse(schemaText('report'));
 * typeof schema; // => 'object'
 */
export function schemaText(name: SchemaName): string {
  return SCHEMA_TEXTS[name];
}
