import { jsonText } from '../text/json-text.js';
import type { Report } from './model.js';

/** The report as JSON text; see {@link jsonText}. */
export function renderJson(report: Report): string {
  return jsonText(report);
}
