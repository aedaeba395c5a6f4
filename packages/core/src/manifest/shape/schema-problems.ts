import { nearestName } from '../../text/nearest.js';
import validateManifest from '../../generated/validate-manifest.js';
import { MAX_PROBLEMS } from '../limits.js';
import type { ParsedManifest } from '../parse/parse-text.js';
import type { ProblemList } from '../rules/rule.js';
import { wrongValue } from '../rules/wrong-value.js';
import { Cursor } from './cursor.js';
import { schemaAt } from './schema-at.js';
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
export function reportSchemaProblems(parsed: ParsedManifest, problems: ProblemList): void {
  const validate = validateManifest as Validate;
  if (validate(parsed.value)) return;
  const errors = validate.errors ?? [];
  const root = Cursor.root(parsed);
  // Of a value of the wrong type nothing else needs saying.
  const mistyped = new Set(
    errors.filter(({ keyword }) => keyword === 'type').map(({ instancePath }) => instancePath),
  );
  const misspelt = new Set(
    errors
      .filter(({ keyword }) => keyword === 'additionalProperties')
      // Those after them are not listed.
      .slice(0, MAX_PROBLEMS)
      .map(({ instancePath, params }) =>
        keyIn(
          instancePath,
          nearestName(String(params['additionalProperty']), schemaAt(instancePath).keys),
        ),
      ),
  );
  for (const error of errors) {
    if (problems.firstLeftOut('error') !== null) return;
    if (error.keyword !== 'type' && mistyped.has(error.instancePath)) continue;
    if (error.propertyName !== undefined || isLeftToRules(error)) continue;
    // Whatever is not there cannot be called missing when the text is damaged.
    const at = root.at(error.instancePath);
    if (at === null || isAftermath(error, at, parsed)) continue;
    if (
      error.keyword === 'required' &&
      misspelt.has(keyIn(error.instancePath, error.params['missingProperty']))
    )
      continue;
    const format = FORMATTERS[error.keyword];
    if (format === undefined) problems.add(wrongValue, at.spot, UNNAMED);
    else format({ error, at, problems });
  }
}

function keyIn(instancePath: string, key: unknown): string {
  return `${instancePath} ${String(key)}`;
}

/** Whether a slip of syntax most likely made this problem too: it is at the slip, or about what may have been lost. */
function isAftermath(error: SchemaError, at: Cursor, parsed: ParsedManifest): boolean {
  if (!parsed.damaged) return false;
  if (isAboutAbsence(error) || (error.keyword === 'type' && at.value === null)) return true;
  const key = error.params['additionalProperty'];
  const { source, range } = (typeof key === 'string' ? at.get(key)?.keySpot : null) ?? at.spot;
  const { line } = source.position(range.start);
  return parsed.syntaxErrors.some((offset) => {
    if (error.keyword === 'type' && offset >= range.start && offset <= range.end) return true;
    return offset <= range.start && source.position(offset).line === line;
  });
}

/** A key that is not there; or a whole file that is, after a slip, no map any more. */
function isAboutAbsence({ keyword, instancePath }: SchemaError): boolean {
  return keyword === 'required' || (keyword === 'type' && instancePath === '');
}

const UNNAMED = { message: 'This value is not allowed here.' };
