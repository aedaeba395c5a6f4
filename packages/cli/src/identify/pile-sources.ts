import { statSync } from 'node:fs';
import { resolve } from 'node:path';
import { FirmtallyError, type Entry, type PileSource } from '@firmtally/core';
import { createDigester, namedFiles, openFolder, withSlashes } from '@firmtally/host';
import type { Context } from '../context.js';

/** Opened files and folders, and how to let go of them. */
export interface OpenPile {
  readonly sources: readonly PileSource[];
  close(): Promise<void>;
}

/**
 * Opens the files and folders that were named, each path once, in the order
 * given. Links named themselves are followed. Throws FirmtallyError for one
 * that is not there or is neither.
 */
export async function openPile(paths: readonly string[], context: Context): Promise<OpenPile> {
  const sources: PileSource[] = [];
  const digesters: { close(): Promise<void> }[] = [];
  const close = async (): Promise<void> => {
    for (const digester of digesters) await digester.close();
  };
  for (const path of new Set(paths)) {
    const shown = withSlashes(path);
    const size = sizeOfFile(path, context.cwd);
    if (size === null) {
      const content = await openFolder(resolve(context.cwd, path));
      const digester = createDigester(content);
      digesters.push(digester);
      sources.push({ shown, kind: 'folder', entries: content.list(), content, digester });
    } else {
      const content = namedFiles(context.cwd);
      const digester = createDigester(content);
      digesters.push(digester);
      const entries = single({ path, kind: 'file', size });
      sources.push({ shown, kind: 'file', entries, content, digester });
    }
  }
  return { sources, close };
}

/** Bytes; null for a folder. */
function sizeOfFile(path: string, cwd: string): number | null {
  let stats;
  try {
    stats = statSync(resolve(cwd, path));
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    throw code === 'ENOENT'
      ? trouble(`${path}: no such file or folder`, 'Check the path.', error)
      : trouble(`${path}: it cannot be looked at (${code ?? String(error)})`, null, error);
  }
  if (stats.isDirectory()) return null;
  if (stats.isFile()) return stats.size;
  throw trouble(`${path}: it is neither a file nor a folder`, 'Name files and folders only.');
}

function trouble(message: string, remedy: string | null, cause?: unknown): FirmtallyError {
  return new FirmtallyError('io-error', message, remedy, { cause });
}

// eslint-disable-next-line @typescript-eslint/require-await -- entries come asynchronously by contract
async function* single(entry: Entry): AsyncGenerator<Entry> {
  yield entry;
}
