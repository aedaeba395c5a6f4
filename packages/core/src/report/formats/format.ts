import type { ReportView } from '../view.js';

/** What a format may leave out or add; each does what it can. */
export interface FormatOptions {
  /** Adds what was found of every firmware, and names files without a picture and pictures without a file. */
  readonly detail?: boolean;
  /** Leaves out what to do and the content. */
  readonly brief?: boolean;
  /** Shows no more than so many of each list and says how many are left out, for a screen that a huge report would hold up; `html` only. */
  readonly atMost?: number | undefined;
}

/** The parts of a report, for saying which formats carry them. */
export const REPORT_PARTS = [
  'title',
  'loadout',
  'readiness',
  'met',
  'verdict',
  'expectedPath',
  'foundAt',
  'judged',
  'size',
  'digests',
  'dump',
  'expected',
  'diagnosis',
  'facts',
  'advice',
  'note',
  'toGet',
  'hints',
  'since',
  'content',
  'pictures',
  'strays',
  'faults',
] as const;
/** A part of a report that a format may carry. */
export type ReportPart = (typeof REPORT_PARTS)[number];

/** One way to write a report down. */
export interface ReportFormat {
  readonly name: string;
  /** Of a file, without the dot. */
  readonly extension: string;
  readonly mediaType: string;
  /** What it is for, in a few words. */
  readonly purpose: string;
  /** The parts that can be read out of it, with `detail`; docs/report-formats.md says why the others are left out. */
  readonly carries: readonly ReportPart[];
  /** The whole text. Untrusted names in it are escaped, as the format wants it. */
  render(view: ReportView, options?: FormatOptions): string;
}

/** Every part but these. */
export function allBut(...left: readonly ReportPart[]): readonly ReportPart[] {
  return REPORT_PARTS.filter((part) => !left.includes(part));
}
