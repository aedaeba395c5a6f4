import { open, stat } from 'node:fs/promises';
import { resolve } from 'node:path';
import {
  FirmtallyError,
  MAX_MANIFEST_BYTES,
  type Manifest,
  type ManifestFile,
  type Manifests,
} from '@firmtally/core';

/** The files at these paths, each once; a manifest that was read already stays as it is. Throws FirmtallyError `manifest-unreadable`. */
export async function manifestFiles(
  given: readonly string[] | Manifest,
  cwd: string,
): Promise<Manifests> {
  if ('firmware' in given) return given;
  const files: ManifestFile[] = [];
  for (const path of new Set(given)) {
    files.push({ path, bytes: await readBounded(resolve(cwd, path), path) });
  }
  return files;
}

/** One byte over the limit is enough for the reader to say so. */
async function readBounded(path: string, name: string): Promise<Uint8Array> {
  try {
    // Before it is opened: opening a FIFO may never end.
    if (!(await stat(path)).isFile()) throw unreadable(name, 'it is not a file');
    const file = await open(path);
    try {
      const stats = await file.stat();
      const bytes = Buffer.alloc(Math.min(stats.size, MAX_MANIFEST_BYTES + 1));
      const { bytesRead } = await file.read(bytes, 0, bytes.length, 0);
      return bytes.subarray(0, bytesRead);
    } finally {
      await file.close();
    }
  } catch (error) {
    if (error instanceof FirmtallyError) throw error;
    const code = (error as NodeJS.ErrnoException).code ?? String(error);
    throw unreadable(
      name,
      code === 'ENOENT' ? 'there is no such file' : `it cannot be read (${code})`,
      error,
    );
  }
}

function unreadable(name: string, why: string, cause?: unknown): FirmtallyError {
  const remedy = 'Check the path and its spelling.';
  return new FirmtallyError('manifest-unreadable', `${name}: ${why}`, remedy, { cause });
}
