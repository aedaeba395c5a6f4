import { statSync } from 'node:fs';
import { resolve } from 'node:path';
import {
  FirmtallyError,
  identifyPile,
  ProgressCount,
  type Entry,
  type IdentificationDocument,
  type Manifest,
  type OnProgress,
  type PileSource,
} from '@firmtally/core';
import { zipReader } from '../archive/zip-reader.js';
import { readManifestFiles } from '../audit/manifest-files.js';
import { createDigester, defaultJobs } from '../digest/digester.js';
import { nativeDigestBytes, nativeDigestStream } from '../digest/native-digests.js';
import { namedFiles } from '../folder/named-files.js';
import { toNative } from '../folder/native-path.js';
import { openFolder } from '../folder/open-folder.js';
import { withSlashes } from '../folder/with-slashes.js';

export interface IdentifyFilesOptions {
  /** Paths of manifest files, or a manifest that was read already. */
  readonly manifests: readonly string[] | Manifest;
  /** Threads that hash; as many as the machine suggests when not given. */
  readonly jobs?: number;
  /** What paths are relative to; the process's current folder when not given. */
  readonly cwd?: string;
  /** Stops the task, which then rejects with the signal's reason. */
  readonly signal?: AbortSignal;
  /** Told how far it is. What it throws, the task rejects with. */
  readonly onProgress?: OnProgress;
}

/**
 * Tells what files and folders of this machine hold: which dumps they are,
 * whole, damaged, or in ZIP and gzip files two levels deep. What cannot be read
 * is a fault in the document. Links that are named are followed, links inside
 * folders are not.
 *
 * @param paths files and folders, each looked at once; the document names them as they are given
 * @throws FirmtallyError `io-error` for a path that is neither file nor folder, `root-unreadable`,
 *   `manifest-unreadable`, `manifest-invalid`; the signal's reason
 * @example
 * const { files } = await identifyFiles(['pile'], { manifests: ['tern.yaml'] });
 */
export async function identifyFiles(
  paths: readonly string[],
  options: IdentifyFilesOptions,
): Promise<IdentificationDocument> {
  const { signal, manifests, cwd = process.cwd() } = options;
  signal?.throwIfAborted();
  const manifest = 'firmware' in manifests ? manifests : await readManifestFiles(manifests, cwd);
  const count = new ProgressCount(options.onProgress);
  count.start('list');
  const jobs = options.jobs ?? defaultJobs();
  const digesters: { close(): Promise<void> }[] = [];
  try {
    const sources: PileSource[] = [];
    for (const path of new Set(paths)) {
      const opened = await openSource(path, cwd, jobs);
      digesters.push(opened.digester);
      sources.push(opened);
    }
    count.start('read');
    let examining = false;
    return await identifyPile({
      sources,
      manifest,
      archives: zipReader,
      digestStream: nativeDigestStream,
      digestBytes: nativeDigestBytes,
      // One file waits for each that is being hashed, so that no thread does.
      jobs: 2 * jobs,
      ...(signal === undefined ? {} : { signal }),
      onFile: {
        expect: (bytes) => count.expect(bytes),
        advance: (bytes, path) => count.advance(bytes, path),
        done: (path) => count.done(path),
      },
      onExamine: (path, bytes) => {
        if (!examining) count.start('diagnose');
        examining = true;
        count.advance(bytes, path);
        count.done(path);
      },
    });
  } finally {
    for (const digester of digesters) await digester.close();
  }
}

type OpenSource = PileSource & { readonly digester: { close(): Promise<void> } };

async function openSource(path: string, cwd: string, jobs: number): Promise<OpenSource> {
  const shown = withSlashes(path);
  const size = sizeOfFile(path, cwd);
  if (size === null) {
    const content = await openFolder(resolve(cwd, path));
    const digester = createDigester(content, { jobs });
    return { shown, kind: 'folder', entries: content.list(), content, digester };
  }
  const content = namedFiles(cwd);
  const digester = createDigester(content, { jobs });
  const entries = single({ path, kind: 'file', size });
  return { shown, kind: 'file', entries, content, digester };
}

/** Bytes; null for a folder. */
function sizeOfFile(path: string, cwd: string): number | null {
  let stats;
  try {
    stats = statSync(toNative(resolve(cwd, path)));
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
