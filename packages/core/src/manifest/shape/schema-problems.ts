import { bounded as validateManifest } from '../../generated/validate-manifest.js';
import { MAX_PROBLEMS } from '../limits.js';
import type { ParsedManifest } from '../parse/parsed.js';
import { firstAtLeast, type SourceText, type TextRange } from '../parse/source-text.js';
import type { Sections, SectionState } from '../written.js';
import { Cursor } from './cursor.js';
import { meantKey } from './meant.js';
import { schemaAt } from './schema-at.js';
import { tokens } from '../parse/pointer.js';
import { FORMATTERS, isLeftToRules } from './keyword-words.js';
import type { SchemaError } from './schema-error.js';
import type { ProblemList } from '../rules/problem-list.js';
import { wrongValue } from '../rules/shape.js';

type Validate = ((value: unknown) => boolean) & {
  errors?: readonly SchemaError[] | null;
  /** That there are more errors than were looked for. */
  stopped?: boolean;
};

/** Checks the shape against the schema, says what is wrong in plain words, and how much of the sections is sound. */
export function reportSchemaProblems(parsed: ParsedManifest, problems: ProblemList): Sections {
  const validate = validateManifest as Validate;
  if (validate(parsed.value)) return { firmware: 'whole', systems: 'whole' };
  const errors = validate.errors ?? [];
  const root = Cursor.root(parsed);
  const slips = new Slips(parsed);
  // Of a value of the wrong type nothing else needs saying.
  const mistyped = new Set(
    errors.filter(({ keyword }) => keyword === 'type').map(({ instancePath }) => instancePath),
  );
  const misspelt = new Set(
    errors
      .filter(({ keyword }) => keyword === 'additionalProperties')
      // Those after them are not listed.
      .slice(0, MAX_PROBLEMS)
      .map(({ instancePath, params }) => {
        const key = String(params['additionalProperty']);
        const name = tokens(instancePath).at(-1) ?? '';
        const value = root.at(instancePath)?.get(key)?.value;
        return keyIn(instancePath, meantKey(schemaAt(instancePath), name, key, value));
      }),
  );
  for (const error of errors) {
    if (problems.firstLeftOut('error') !== null) break;
    if (error.keyword !== 'type' && mistyped.has(error.instancePath)) continue;
    if (error.propertyName !== undefined || isLeftToRules(error)) continue;
    // Whatever is not there cannot be called missing when the text is damaged.
    const at = root.at(error.instancePath);
    if (at === null || isAftermath(error, at, slips)) continue;
    if (
      error.keyword === 'required' &&
      misspelt.has(keyIn(error.instancePath, error.params['missingProperty']))
    )
      continue;
    const format = FORMATTERS[error.keyword];
    if (format === undefined) problems.add(wrongValue, at.spot, UNNAMED);
    else format({ error, at, part: schemaAt(error.instancePath), problems });
  }
  if (validate.stopped === true)
    problems.leaveOut('error', root.at(lastPath(errors))?.spot ?? root.spot);
  const stateOf = (section: keyof Sections): SectionState =>
    mistyped.has('') || mistyped.has(`/${section}`) || misspelt.has(keyIn('', section))
      ? 'lost'
      : errors.some((error) => isLoss(error, section))
        ? 'parts'
        : 'whole';
  return { firmware: stateOf('firmware'), systems: stateOf('systems') };
}

/** Whether something in a section is left out for its key or type. */
function isLoss({ keyword, instancePath }: SchemaError, section: string): boolean {
  return (
    (keyword === 'type' || keyword === 'additionalProperties') &&
    instancePath.startsWith(`/${section}/`)
  );
}

function lastPath(errors: readonly SchemaError[]): string {
  return errors.at(-1)?.instancePath ?? '';
}

function keyIn(instancePath: string, key: unknown): string {
  return `${instancePath} ${String(key)}`;
}

/** Whether a slip of syntax most likely made this problem too: it is at the slip, or about what may have been lost. */
function isAftermath(error: SchemaError, at: Cursor, slips: Slips): boolean {
  if (!slips.damaged) return false;
  if (isAboutAbsence(error) || (error.keyword === 'type' && at.value === null)) return true;
  const key = error.params['additionalProperty'];
  const { range } = (typeof key === 'string' ? at.get(key)?.keySpot : null) ?? at.spot;
  const isType = error.keyword === 'type';
  return (
    (isType && (slips.isIn(range) || slips.isIn(at.keySpot.range))) || slips.isInFrontOf(range)
  );
}

/** Where the text has slips of syntax. */
class Slips {
  readonly damaged: boolean;
  readonly #source: SourceText;
  readonly #offsets: readonly number[];
  /** Line -> the first on it. */
  readonly #firstOnLine = new Map<number, number>();

  constructor({ source, syntaxErrors, damaged }: ParsedManifest) {
    this.damaged = damaged;
    this.#source = source;
    this.#offsets = [...syntaxErrors].sort((a, b) => a - b);
    for (const offset of this.#offsets) {
      const { line } = source.position(offset);
      if (!this.#firstOnLine.has(line)) this.#firstOnLine.set(line, offset);
    }
  }

  isIn({ start, end }: TextRange): boolean {
    const next = this.#offsets[firstAtLeast(this.#offsets, start)];
    return next !== undefined && next <= end;
  }

  /** On the line where the range starts, not after that. */
  isInFrontOf({ start }: TextRange): boolean {
    const first = this.#firstOnLine.get(this.#source.position(start).line);
    return first !== undefined && first <= start;
  }
}

/** A key that is not there; or a whole file that is, after a slip, no map any more. */
function isAboutAbsence({ keyword, instancePath }: SchemaError): boolean {
  return keyword === 'required' || (keyword === 'type' && instancePath === '');
}

const UNNAMED = { message: 'This value is not allowed here.' };
