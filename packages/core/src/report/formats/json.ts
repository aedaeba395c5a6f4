import { jsonText } from '../../text/json-text.js';
import { allBut, type ReportFormat } from './format.js';

/** The report itself; data-schemas/report.schema.json describes it. */
export const json: ReportFormat = {
  name: 'json',
  extension: 'json',
  mediaType: 'application/json',
  purpose: 'for programs, and to compare with later',
  carries: allBut(),
  render: ({ report }) => jsonText(report),
};
