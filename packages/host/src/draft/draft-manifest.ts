import { statSync } from 'node:fs';
import { basename, resolve } from 'node:path';
import {
  draftFiles,
  draftLists,
  FirmtallyError,
  MAX_MANIFEST_BYTES,
  ReadError,
  readManifests,
  writeDraft,
  type Drafted,
  type DraftSource,
  type DraftOptions,
  type Entry,
  type IntoManifest,
  type ListFile,
  type ManifestFile,
  type OnProgress,
} from '@firmtally/core';
import { collect, intoOption } from '@firmtally/core/internal';
import { zipReader } from '../archive/zip-reader.js';
import { createDigester } from '../digest/digester.js';
import { nativeEngine } from '../digest/native-engine.js';
import { namedFiles } from '../folder/named-files.js';
import { openFolder } from '../folder/open-folder.js';
import { withSlashes } from '../folder/with-slashes.js';

export interface DraftManifestOptions {
  /** Whether the sources are lists of names and checksums that somebody posted, not the files themselves. */
  readonly list?: boolean;
  /** The folder that the drafted paths start from, relative to the root; `.` is the root. */
  readonly folder?: string;
  /** Id of the one system all files are for. Default: by the list's column, else by folders. */
  readonly system?: string;
  /** A manifest that the entries are added to; its comments, order and formatting stay. */
  readonly into?: string | ManifestFile;
  /** Whether a ZIP is drafted as the file it is, not by its members. */
  readonly whole?: boolean;
  /** Of a manifest of its own; not together with `into`. Default: yaml. */
  readonly format?: 'yaml' | 'json';
  /** Folder that relative paths start from. Default: the process's. */
  readonly cwd?: string;
  readonly jobs?: number;
  readonly signal?: AbortSignal;
  readonly onProgress?: OnProgress;
}

export interface DraftedManifest {
  /** The manifest, valid; null when nothing was found to draft. */
  readonly text: string | null;
  /** What is in it, what was left out, and what is doubtful. */
  readonly drafted: Drafted;
}

/**
 * Drafts a manifest: from folders, files and ZIPs that are known to be good,
 * or, with `list`, from lists that somebody posted. Nothing is written to disk.
 *
 * @param sources paths, or lists as bytes
 * @throws FirmtallyError when a source cannot be read at all, an option cannot
 * be meant, the manifest to add to has errors, or the result would not be valid;
 * the signal's reason when it is aborted
 * @example
 * const { text, drafted } = await draftManifest(['posted.csv'], { list: true });
 * for (const { line, reason } of drafted.leftOut) console.error(line, reason);
 */
export async function draftManifest(
  sources: readonly (string | ListFile)[],
  options: DraftManifestOptions = {},
): Promise<DraftedManifest> {
  options.signal?.throwIfAborted();
  const cwd = options.cwd ?? process.cwd();
  if (options.into !== undefined && options.format !== undefined) {
    throw new FirmtallyError(
      'usage',
      'a format and a manifest to add to exclude each other',
      'A manifest keeps the format it is written in.',
    );
  }
  const into = options.into === undefined ? undefined : await readInto(options.into, cwd);
  const draftOptions = {
    ...(options.folder === undefined ? {} : { folder: options.folder }),
    ...(options.system === undefined ? {} : { system: options.system }),
    ...(into === undefined ? {} : { into: intoOption(into) }),
  };
  const drafted =
    options.list === true
      ? draftLists(await readLists(sources, cwd), draftOptions)
      : await draftFrom(sources, cwd, options, draftOptions);
  options.signal?.throwIfAborted();
  const { firmware, systems } = drafted;
  if (firmware.length === 0 && systems.length === 0 && into === undefined) {
    return { text: null, drafted };
  }
  const text = await writeDraft(drafted, {
    engine: nativeEngine,
    ...(options.format === undefined ? {} : { format: options.format }),
    ...(into === undefined ? {} : { into }),
  });
  return { text, drafted };
}

async function readInto(into: string | ManifestFile, cwd: string): Promise<IntoManifest> {
  const file = typeof into === 'string' ? await readSmallFile(into, cwd) : into;
  const { manifest, problems } = await readManifests([file], { engine: nativeEngine });
  if (manifest !== null) return { file, manifest };
  const error = problems.find(({ severity }) => severity === 'error');
  throw new FirmtallyError(
    'manifest-invalid',
    `${file.path}:${error?.line ?? 1}:${error?.column ?? 1}: ${error?.message ?? ''}`,
    'Correct the manifest before anything is added to it; "firmtally validate" shows all that is wrong.',
  );
}

async function readLists(
  sources: readonly (string | ListFile)[],
  cwd: string,
): Promise<ListFile[]> {
  const lists: ListFile[] = [];
  for (const source of sources) {
    lists.push(typeof source === 'string' ? await readSmallFile(source, cwd) : source);
  }
  return lists;
}

/** A list or manifest, up to one byte over what either may have. */
async function readSmallFile(path: string, cwd: string): Promise<ManifestFile> {
  try {
    const range = { start: 0, end: MAX_MANIFEST_BYTES + 1 };
    const bytes = await collect(namedFiles(cwd).open(path, range), MAX_MANIFEST_BYTES + 1);
    return { path: withSlashes(path), bytes: bytes ?? new Uint8Array() };
  } catch (error) {
    if (!(error instanceof ReadError)) throw error;
    throw new FirmtallyError('io-error', `${path}: ${error.message}`, 'Check the path.', {
      cause: error,
    });
  }
}

type Opened = DraftSource & { close(): Promise<void> };

async function draftFrom(
  sources: readonly (string | ListFile)[],
  cwd: string,
  options: DraftManifestOptions,
  draftOptions: DraftOptions,
): Promise<Drafted> {
  const opened: Opened[] = [];
  try {
    for (const source of new Set(sources)) {
      if (typeof source !== 'string') {
        throw new FirmtallyError('usage', `${source.path}: bytes are drafted from lists only`);
      }
      opened.push(await openSource(source, cwd, options.jobs));
    }
    return await draftFiles(opened, {
      ...draftOptions,
      archives: options.whole === true ? null : zipReader,
      engine: nativeEngine,
      ...(options.onProgress === undefined ? {} : { onProgress: options.onProgress }),
      ...(options.signal === undefined ? {} : { signal: options.signal }),
    });
  } finally {
    for (const source of opened) await source.close();
  }
}

async function openSource(path: string, cwd: string, jobs: number | undefined): Promise<Opened> {
  const absolute = resolve(cwd, path);
  const name = basename(absolute) || 'the root folder';
  const size = sizeOfFile(path, absolute);
  const digesterOptions = jobs === undefined ? {} : { jobs };
  if (size === null) {
    const folder = await openFolder(absolute);
    const digester = createDigester(folder, digesterOptions);
    return { name, folder, digester, close: () => digester.close() };
  }
  const files = namedFiles(cwd);
  const digester = createDigester(files, digesterOptions);
  return {
    name,
    folder: {
      list: () => single({ path: name, kind: 'file', size }),
      open: (_, range) => files.open(path, range),
    },
    digester: {
      digestFile: (_, algorithms, reading) => digester.digestFile(path, algorithms, reading),
    },
    close: () => digester.close(),
  };
}

/** Bytes; null for a folder, and for what is not there: opening it says so. */
function sizeOfFile(path: string, absolute: string): number | null {
  const stats = statSync(absolute, { throwIfNoEntry: false });
  if (stats === undefined || stats.isDirectory()) return null;
  if (stats.isFile()) return stats.size;
  throw new FirmtallyError(
    'io-error',
    `${path}: it is neither a file nor a folder`,
    'Name files and folders only.',
  );
}

// eslint-disable-next-line @typescript-eslint/require-await -- entries come asynchronously by contract
async function* single(entry: Entry): AsyncGenerator<Entry> {
  yield entry;
}
