import { closeSync, createReadStream, openSync, readSync, statSync } from 'node:fs';
import { resolve, sep } from 'node:path';
import { FirmtallyError, MAX_MANIFEST_BYTES, type ManifestFile } from '@firmtally/core';
import type { Context } from '../context.js';

/**
 * Reads a manifest that was named on the command line: a file, a pipe (the
 * shell's process substitution) or, as `-`, standard input. No more than one
 * byte over the limit is ever read. Throws FirmtallyError `manifest-unreadable`.
 */
export async function readManifestFile(path: string, context: Context): Promise<ManifestFile> {
  try {
    if (path === '-') return { path: '<stdin>', bytes: await readBounded(context.stdin) };
    const file = resolve(context.cwd, path);
    const stats = statSync(file);
    if (stats.isDirectory()) {
      throw new FirmtallyError(
        'manifest-unreadable',
        `${path}: this is a folder, not a manifest.`,
        'Name the manifest file itself.',
      );
    }
    const bytes =
      (stats.isFile() ? readAtOnce(file, stats.size) : null) ??
      // Only as much as is looked at: the limit, and one byte to know that there is more.
      (await readBounded(createReadStream(file, { end: MAX_MANIFEST_BYTES })));
    return { path: path.split(sep).join('/'), bytes };
  } catch (error) {
    if (error instanceof FirmtallyError) throw error;
    throw unreadable(path, error);
  }
}

/** A small file costs less this way than a stream does. Null when it holds more than its size says, as in /proc. */
function readAtOnce(file: string, size: number): Uint8Array | null {
  const bytes = Buffer.alloc(Math.min(size, MAX_MANIFEST_BYTES) + 1);
  const fd = openSync(file, 'r');
  try {
    let length = 0;
    while (length < bytes.length) {
      const count = readSync(fd, bytes, length, bytes.length - length, null);
      if (count === 0) return bytes.subarray(0, length);
      length += count;
    }
    return length > MAX_MANIFEST_BYTES ? bytes : null;
  } finally {
    closeSync(fd);
  }
}

/** At most one byte more than a manifest may have. */
async function readBounded(stream: AsyncIterable<Uint8Array>): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  let length = 0;
  for await (const chunk of stream) {
    chunks.push(chunk);
    length += chunk.length;
    if (length > MAX_MANIFEST_BYTES) break;
  }
  return Buffer.concat(chunks).subarray(0, MAX_MANIFEST_BYTES + 1);
}

function unreadable(path: string, error: unknown): FirmtallyError {
  const code = (error as NodeJS.ErrnoException).code ?? '';
  const words = WORDS[code] ?? {
    message: `it cannot be read (${error instanceof Error ? error.message : String(error)}).`,
    remedy: null,
  };
  return new FirmtallyError('manifest-unreadable', `${path}: ${words.message}`, words.remedy, {
    cause: error,
  });
}

const WORDS: Readonly<Record<string, { message: string; remedy: string | null }>> = {
  ENOENT: { message: 'there is no such manifest.', remedy: 'Check the path and its spelling.' },
  ENOTDIR: { message: 'there is no such manifest.', remedy: 'Check the path and its spelling.' },
  EACCES: {
    message: 'the manifest may not be read.',
    remedy: 'Give yourself permission to read it.',
  },
  EPERM: {
    message: 'the manifest may not be read.',
    remedy: 'Give yourself permission to read it.',
  },
};
