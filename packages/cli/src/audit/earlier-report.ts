import { promises as fs } from 'node:fs'; // node:fs/promises would be loaded with this module
import { resolve } from 'node:path';
import {
  compareReports,
  FirmtallyError,
  parseReport,
  type AuditResult,
  type Report,
} from '@firmtally/core';

/** A report that an earlier run wrote, and when its file was last written, in ms since the Unix epoch. */
export interface EarlierReport {
  readonly report: Report;
  readonly written: number;
}

/** A report of ten thousand entries has some 10 MB. */
const MAX_BYTES = 256 * 1024 * 1024;

/** Throws FirmtallyError('report-invalid'). */
export async function readEarlierReport(path: string, cwd: string): Promise<EarlierReport> {
  const { text, written } = await read(path, resolve(cwd, path));
  return { report: parseReport(text, path), written };
}

/**
 * The report with what changed since. Reports carry no times, so a file counts
 * as untouched when it was last modified no later than the earlier report was
 * written. The two-second steps of FAT times (Microsoft's FAT specification,
 * "Date and Time Formats") get no tolerance: it would call a file that was
 * rewritten right after the report silently changed.
 */
export function withComparison({ report, inventory }: AuditResult, earlier: EarlierReport): Report {
  const since = compareReports(earlier.report, report, {
    unchangedTime: (path) => {
      const entry = inventory.get(path) ?? inventory.equalButForCase(path)[0];
      return entry?.modified !== undefined && entry.modified <= earlier.written;
    },
  });
  return { ...report, since };
}

async function read(path: string, absolute: string): Promise<{ text: string; written: number }> {
  try {
    const stats = await fs.stat(absolute);
    // A pipe would never end, and a report is not that large.
    if (!stats.isFile()) throw unusable(path, 'it is not a regular file');
    if (stats.size > MAX_BYTES) throw unusable(path, 'it is larger than any report');
    return { text: await fs.readFile(absolute, 'utf8'), written: stats.mtimeMs };
  } catch (error) {
    if (error instanceof FirmtallyError) throw error;
    const code = (error as NodeJS.ErrnoException).code ?? String(error);
    throw unusable(
      path,
      code === 'ENOENT' ? 'there is no such file' : `it cannot be read (${code})`,
    );
  }
}

function unusable(path: string, why: string): FirmtallyError {
  return new FirmtallyError(
    'report-invalid',
    `--since ${path}: ${why}`,
    'Give a file that `firmtally audit … --format json` wrote.',
  );
}
