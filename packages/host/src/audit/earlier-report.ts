import { open, stat } from 'node:fs/promises';
import { FirmtallyError, parseReport, type EarlierAudit, type Report } from '@firmtally/core';
import { decodeWritten } from '@firmtally/core/internal';

/** A report of ten thousand entries has some 10 MB. */
export const MAX_REPORT_BYTES = 256 * 1024 * 1024;

/** Reads a report's file; `name` is what to call it. Throws FirmtallyError `report-invalid`. */
export async function readEarlierReport(path: string, name: string): Promise<EarlierAudit> {
  try {
    // Before it is opened: opening a FIFO may never end.
    if (!(await stat(path)).isFile()) throw unusable(name, 'it is not a file');
    const file = await open(path);
    try {
      const { size, mtimeMs } = await file.stat();
      if (size > MAX_REPORT_BYTES) throw unusable(name, 'it is larger than any report');
      return { report: earlierReport(await file.readFile(), name), written: mtimeMs };
    } finally {
      await file.close();
    }
  } catch (error) {
    if (error instanceof FirmtallyError) throw error;
    const code = (error as NodeJS.ErrnoException).code ?? String(error);
    const why = code === 'ENOENT' ? 'there is no such file' : `it cannot be read (${code})`;
    throw unusable(name, why, error);
  }
}

/**
 * The report that a file's bytes are, UTF-8 or UTF-16 with a mark. Throws
 * FirmtallyError `report-invalid`, which says what they are instead.
 */
export function earlierReport(bytes: Uint8Array, name: string): Report {
  if (bytes.length > MAX_REPORT_BYTES) throw unusable(name, 'it is larger than any report');
  const text = decodeWritten(bytes);
  try {
    return parseReport(text, name);
  } catch (error) {
    if (!(error instanceof FirmtallyError)) throw error;
    throw unusable(name, describe(text), error);
  }
}

/** What a text that is no report is, in plain words. */
function describe(text: string): string {
  let document: unknown;
  try {
    document = JSON.parse(text);
  } catch {
    return 'it is not JSON';
  }
  if (typeof document === 'object' && document !== null) {
    if ('plan' in document) return 'this is a plan, not a report';
    if ('validation' in document) return 'this is the result of a validation, not a report';
    if ('firmtally' in document) return 'this is a manifest, not a report';
    if ('report' in document && document.report !== 1) {
      return 'this report is of another version of Firmtally';
    }
    if ('report' in document) return 'this report is damaged, or was changed after it was written';
  }
  return 'it is not a Firmtally report';
}

function unusable(name: string, why: string, cause?: unknown): FirmtallyError {
  return new FirmtallyError('report-invalid', `${name}: ${why}`, REMEDY, { cause });
}

const REMEDY = 'Give a report that an audit wrote as JSON.';
