import { REPORT_FORMATS, type ReportFormatName } from '@firmtally/core';
import { usage, type Arguments, type SelectedSystems } from '../arguments/arguments.js';

type AuditFormat = 'table' | ReportFormatName;

/** The terminal's own, and those of the library. */
export const FORMATS: readonly AuditFormat[] = [
  'table',
  ...(Object.keys(REPORT_FORMATS) as ReportFormatName[]),
];

/** What the command line asks for, checked. */
export interface AuditOptions extends SelectedSystems {
  readonly root: string;
  readonly manifests: readonly string[];
  readonly format: AuditFormat;
  readonly detail: boolean;
  readonly brief: boolean;
  readonly strays: boolean;
  readonly strict: boolean;
  readonly wide: boolean;
  readonly since: string | null;
  /** Null: as many as the machine suggests. */
  readonly jobs: number | null;
}

/** Throws FirmtallyError('usage'). */
export function auditOptions(given: Arguments): AuditOptions {
  const selected = given.selectedSystems();
  return {
    ...selected,
    root: given.operand,
    manifests: given.texts('manifest'),
    format: given.choice('format', FORMATS),
    detail: given.flag('detail'),
    brief: given.flag('brief'),
    strays: given.flag('strays'),
    strict: given.flag('strict'),
    wide: given.flag('wide'),
    since: given.text('since'),
    jobs: jobsOf(given.text('jobs')),
  };
}

/** More threads than this help nobody. */
const MAX_JOBS = 256;

function jobsOf(text: string | null): number | null {
  if (text === null) return null;
  const jobs = /^[0-9]{1,6}$/.test(text) ? Number(text) : 0;
  if (jobs >= 1 && jobs <= MAX_JOBS) return jobs;
  throw usage(
    `--jobs "${text}" is not a whole number from 1 to ${String(MAX_JOBS)}`,
    'For example: --jobs 2',
  );
}
