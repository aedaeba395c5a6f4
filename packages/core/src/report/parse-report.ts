import { FirmtallyError } from '../errors.js';
import { bounded as validateReport } from '../generated/validate-report.js';
import type { Report } from './model.js';

/** What ajv's precompiled code is; generated files carry no types. */
interface Validator {
  (document: unknown): boolean;
  readonly errors?: readonly { readonly instancePath: string; readonly message?: string }[] | null;
}
const validate = validateReport as unknown as Validator;

/**
 * Reads a report that an earlier audit wrote as JSON. `name` is what to call the file.
 *
 * @throws FirmtallyError `report-invalid`
 * @example
 * const text = renderReport(report, 'json');
 * parseReport(text, 'before.json').systems.length; // => 2
 */
export function parseReport(text: string, name: string): Report {
  let document: unknown;
  try {
    document = JSON.parse(text.replace(/^\ufeff/, ''));
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    throw new FirmtallyError('report-invalid', `${name} is not JSON: ${reason}`, REMEDY, {
      cause: error,
    });
  }
  if (!validate(document)) {
    const [first] = validate.errors ?? [];
    const where = first === undefined || first.instancePath === '' ? 'the top' : first.instancePath;
    throw new FirmtallyError(
      'report-invalid',
      `${name} is not a Firmtally report: at ${where} it ${first?.message ?? 'does not fit'}`,
      REMEDY,
    );
  }
  return document as Report;
}

const REMEDY = 'Give a report that an audit wrote as JSON.';
