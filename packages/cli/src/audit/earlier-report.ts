import {
  compareReports,
  FirmtallyError,
  parseReport,
  type AuditResult,
  type Report,
} from '@firmtally/core';
import type { Context } from '../context.js';
import { readNamedFile, UnreadableFile } from '../read-named-file.js';

/** A report that an earlier run wrote. */
export interface EarlierReport {
  readonly report: Report;
  /** When its file was last written, in ms since the Unix epoch; null of a pipe: then no file counts as untouched since. */
  readonly written: number | null;
}

/** A report of ten thousand entries has some 10 MB. */
const MAX_BYTES = 256 * 1024 * 1024;

/** Throws FirmtallyError('report-invalid'). */
export async function readEarlierReport(path: string, context: Context): Promise<EarlierReport> {
  const { text, written } = await read(path, context);
  try {
    return { report: parseReport(text, path), written };
  } catch (error) {
    if (!(error instanceof FirmtallyError)) throw error;
    throw unusable(path, describe(text));
  }
}

/**
 * The report with what changed since. Reports carry no times, so a file counts
 * as untouched when it was last modified no later than the earlier report was
 * written. The two-second steps of FAT times (Microsoft's FAT specification,
 * "Date and Time Formats") get no tolerance: it would call a file that was
 * rewritten right after the report silently changed.
 */
export function withComparison({ report, inventory }: AuditResult, earlier: EarlierReport): Report {
  const { written } = earlier;
  const since = compareReports(earlier.report, report, {
    unchangedTime: (path) => {
      const entry = inventory.get(path) ?? inventory.equalButForCase(path)[0];
      return written !== null && entry?.modified !== undefined && entry.modified <= written;
    },
  });
  return { ...report, since };
}

async function read(
  path: string,
  context: Context,
): Promise<{ text: string; written: number | null }> {
  try {
    const { bytes, written } = await readNamedFile(path, MAX_BYTES, context);
    if (bytes.length > MAX_BYTES) throw unusable(path, 'it is larger than any report');
    return { text: Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length).toString(), written };
  } catch (error) {
    if (error instanceof UnreadableFile) {
      throw new FirmtallyError(
        'report-invalid',
        `--since ${path}: ${error.reason}`,
        error.remedy ?? REMEDY,
        { cause: error },
      );
    }
    throw error;
  }
}

/** What a text that is no report is, in plain words. */
function describe(text: string): string {
  let document: unknown;
  try {
    document = JSON.parse(text.replace(/^\ufeff/, ''));
  } catch {
    return 'it is not JSON';
  }
  if (typeof document === 'object' && document !== null) {
    if ('plan' in document) return 'this is a Firmtally plan, not a report';
    if ('validation' in document) return 'this is the result of a validation, not a report';
    if ('firmtally' in document) return 'this is a manifest, not a report';
    if ('report' in document && document.report !== 1) {
      return 'this report is of another version of Firmtally';
    }
    if ('report' in document) return 'this report is damaged, or was changed after it was written';
  }
  return 'it is not a Firmtally report';
}

function unusable(path: string, why: string): FirmtallyError {
  return new FirmtallyError('report-invalid', `--since ${path}: ${why}`, REMEDY);
}

const REMEDY = 'Give a file that `firmtally audit … --format json` wrote.';
