import type { Report } from './model.js';

/** The report as JSON text, two-space indented, ending in a newline. Lone surrogates come out as `\udcNN`, so the text is valid UTF-8. */
export function renderJson(report: Report): string {
  return `${JSON.stringify(report, null, 2)}\n`;
}
