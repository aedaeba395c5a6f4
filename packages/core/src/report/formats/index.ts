import type { Report } from '../model.js';
import { viewOf } from '../view.js';
import { csv } from './csv.js';
import type { FormatOptions, ReportFormat } from './format.js';
import { html } from './html.js';
import { json } from './json.js';
import { markdown } from './markdown.js';
import { tap } from './tap.js';

/** Every format that needs no terminal. A new one is listed here and nowhere else. */
export const REPORT_FORMATS = { json, markdown, csv, tap, html } as const satisfies Record<
  string,
  ReportFormat
>;
/** The name of a format. */
export type ReportFormatName = keyof typeof REPORT_FORMATS;

/**
 * Writes a report down, in one of {@link REPORT_FORMATS} or a format of one's own.
 *
 * @example
 * renderReport(report, 'tap').split('\n')[0]; // => 'TAP version 14'
 */
export function renderReport(
  report: Report,
  format: ReportFormatName | ReportFormat,
  options: FormatOptions = {},
): string {
  const chosen = typeof format === 'string' ? REPORT_FORMATS[format] : format;
  return chosen.render(viewOf(report), options);
}
