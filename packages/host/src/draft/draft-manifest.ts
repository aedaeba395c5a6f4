import { basename, resolve } from 'node:path';
import {
  draft,
  FirmtallyError,
  MAX_MANIFEST_BYTES,
  ReadError,
  type DraftedManifest,
  type DraftOptions,
  type ListFile,
  type ManifestFile,
} from '@firmtally/core';
import { collect } from '@firmtally/core/internal';
import { namedFiles } from '../folder/named-files.js';
import { withSources } from '../folder/open-source.js';
import { withSlashes } from '../folder/with-slashes.js';
import { nodePlatform, type HostTaskOptions } from '../platform.js';

/** What the sources of {@link draftManifest} are, where the entries belong, and how they are written. */
export interface DraftManifestOptions
  extends HostTaskOptions, Omit<DraftOptions, 'platform' | 'into' | keyof HostTaskOptions> {
  /** Whether the sources are lists of names and checksums that somebody posted, not the files themselves. */
  readonly list?: boolean | undefined;
  /** A manifest that the entries are added to, or its path; its comments, order and formatting stay. */
  readonly into?: string | ManifestFile | undefined;
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
 * const { text, drafted } = await draftManifest(['card/SUMS'], { list: true });
 * drafted.leftOut; // => []
 * text?.includes('25f9e794323b453885f5181f1b624d0b'); // => true
 */
export async function draftManifest(
  sources: readonly (string | ListFile)[],
  options: DraftManifestOptions = {},
): Promise<DraftedManifest> {
  const { signal, jobs, onNotice, cwd = process.cwd() } = options;
  signal?.throwIfAborted();
  const into =
    typeof options.into === 'string' ? await readSmallFile(options.into, cwd) : options.into;
  const task = { ...options, platform: nodePlatform, into };
  if (options.list === true) return draft(await readLists(sources, cwd), task);
  const paths = sources.map((source) => {
    if (typeof source === 'string') return source;
    throw new FirmtallyError('usage', `${source.path}: bytes are drafted from lists only`);
  });
  return withSources(paths, { cwd, jobs, onNotice }, (opened) =>
    draft(
      opened.map((source) => ({ ...source, name: ownName(source.name, cwd) })),
      task,
    ),
  );
}

/** What a folder or file is called where it lies. */
function ownName(name: string, cwd: string): string {
  return basename(resolve(cwd, name)) || 'the root folder';
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
