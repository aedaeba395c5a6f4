import { open, stat } from 'node:fs/promises';
import { resolve } from 'node:path';
import {
  FirmtallyError,
  MAX_MANIFEST_BYTES,
  readManifests,
  type Manifest,
  type ManifestFile,
} from '@firmtally/core';
import { nativeEngine } from '../digest/native-engine.js';

/** Reads manifests by path. Throws FirmtallyError `manifest-unreadable`, or `manifest-invalid` with the first error. */
export async function readManifestFiles(paths: readonly string[], cwd: string): Promise<Manifest> {
  const files: ManifestFile[] = [];
  for (const path of new Set(paths)) {
    files.push({ path, bytes: await readBounded(resolve(cwd, path), path) });
  }
  const { manifest, problems } = await readManifests(files, { engine: nativeEngine });
  if (manifest !== null) return manifest;
  const errors = problems.filter(({ severity }) => severity === 'error');
  const [first] = errors;
  const more = errors.length > 1 ? `; ${String(errors.length - 1)} more` : '';
  throw new FirmtallyError(
    'manifest-invalid',
    first === undefined
      ? `${paths.join(', ')}: not a manifest`
      : `${first.file}:${String(first.line)}:${String(first.column)}: ${first.message} [${first.rule}]${more}`,
    'Correct the manifest, and try again.',
  );
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
