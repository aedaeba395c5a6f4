import validateManifest from '../../generated/validate-manifest.js';
import type { ParsedManifest } from '../parse/parse-text.js';
import type { ProblemList } from '../rules/rule.js';
import { wrongValue } from '../rules/wrong-value.js';
import type { Suggester } from '../rules/suggester.js';
import { Cursor } from './cursor.js';
import { FORMATTERS, isLeftToRules } from './keyword-words.js';

/** What ajv's compiled validators leave in `errors`. */
export interface SchemaError {
  readonly keyword: string;
  readonly instancePath: string;
  readonly schemaPath: string;
  readonly params: Readonly<Record<string, unknown>>;
  /** Set on the errors of a key's own form. */
  readonly propertyName?: string;
}

type Validate = ((value: unknown) => boolean) & { errors?: readonly SchemaError[] | null };

/** Checks the shape against the schema and says what is wrong in plain words. */
export function reportSchemaProblems(
  parsed: ParsedManifest,
  problems: ProblemList,
  suggester: Suggester,
): void {
  const validate = validateManifest as Validate;
  if (validate(parsed.value)) return;
  const errors = validate.errors ?? [];
  const root = Cursor.root(parsed);
  // Of a value of the wrong type nothing else needs saying.
  const mistyped = new Set(
    errors.filter(({ keyword }) => keyword === 'type').map(({ instancePath }) => instancePath),
  );
  for (const error of errors) {
    if (error.keyword !== 'type' && mistyped.has(error.instancePath)) continue;
    if (error.propertyName !== undefined || isLeftToRules(error)) continue;
    // Whatever is not there cannot be called missing when the text is damaged.
    if (parsed.damaged && (error.keyword === 'required' || error.instancePath === '')) continue;
    const at = root.at(error.instancePath);
    if (at === null) continue;
    const format = FORMATTERS[error.keyword];
    if (format === undefined) problems.add(wrongValue, at.spot, UNNAMED);
    else format({ error, at, problems, suggester });
  }
}

const UNNAMED = { message: 'This value is not allowed here.' };
