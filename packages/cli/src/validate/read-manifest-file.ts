import { FirmtallyError, MAX_MANIFEST_BYTES, type ManifestFile } from '@firmtally/core';
import { withSlashes } from '@firmtally/host/internal';
import type { Context } from '../context.js';
import { readNamedFile, UnreadableFile } from '../read-named-file.js';

/**
 * Reads a manifest that was named on the command line: a file, a pipe (the
 * shell's process substitution) or, as `-`, standard input. Throws
 * FirmtallyError `manifest-unreadable`.
 */
export async function readManifestFile(path: string, context: Context): Promise<ManifestFile> {
  try {
    const { bytes } = await readNamedFile(path, MAX_MANIFEST_BYTES, context);
    return { path: path === '-' ? '<stdin>' : withSlashes(path), bytes };
  } catch (error) {
    if (!(error instanceof UnreadableFile)) throw error;
    throw new FirmtallyError(
      'manifest-unreadable',
      `manifest ${path}: ${error.reason}`,
      error.remedy,
      { cause: error },
    );
  }
}
