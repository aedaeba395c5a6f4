import { FirmtallyError, type EarlierAudit } from '@firmtally/core';
import { earlierReport, MAX_REPORT_BYTES } from '@firmtally/host/internal';
import type { Context } from '../context.js';
import { readNamedFile, UnreadableFile } from '../read-named-file.js';

/** Reads what `--since` names, standard input and pipes included. Throws FirmtallyError `report-invalid`. */
export async function readEarlierReport(path: string, context: Context): Promise<EarlierAudit> {
  const name = `--since ${path}`;
  try {
    const { bytes, written } = await readNamedFile(path, MAX_REPORT_BYTES, context);
    return { report: earlierReport(bytes, name), written };
  } catch (error) {
    if (error instanceof UnreadableFile) {
      const remedy = error.remedy ?? REMEDY;
      throw new FirmtallyError('report-invalid', `${name}: ${error.reason}`, remedy, {
        cause: error,
      });
    }
    if (error instanceof FirmtallyError && error.code === 'report-invalid') {
      throw new FirmtallyError(error.code, error.message, REMEDY, { cause: error });
    }
    throw error;
  }
}

const REMEDY = 'Give a file that `firmtally audit … --format json` wrote.';
