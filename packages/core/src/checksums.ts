import { contentPath } from './bytes/entry-content.js';
import type { Algorithm, DigestOptions } from './bytes/digests.js';
import { ProgressCount } from './bytes/progress.js';
import {
  isReadable,
  ReadError,
  type Entry,
  type FolderSource,
  type PileSource,
} from './bytes/source.js';
import { checkLists, listedFiles } from './digest/check-lists.js';
import { checkedFolder, checkedPile, checkedPlatform } from './digest/checked.js';
import {
  digestRows,
  USUAL_ALGORITHMS,
  type DigestRow,
  type WantedFile,
} from './digest/digest-rows.js';
import {
  digestDocument,
  digestedFile,
  type CheckDocument,
  type DigestDocument,
} from './digest/document.js';
import { USUAL_JOBS, type SourceTaskOptions } from './digest/source-task.js';
import { digestFile } from './digest/stream.js';
import { parseSums } from './digest/sums-parse.js';
import type { ListFile } from './draft/draft-lists.js';
import { unreadableFault } from './facts/fault.js';
import { listPile } from './identify/list-pile.js';
import { buildListing } from './inventory/build-inventory.js';
import type { Listing } from './inventory/inventory.js';

/** Which digests {@link digest} takes, and who is told of each file. */
export interface DigestSourcesOptions extends SourceTaskOptions {
  /** Which digests; CRC-32, MD5 and SHA-1 when not given. */
  readonly algorithms?: readonly Algorithm[] | undefined;
  /**
   * Given each row as soon as it and all before it are done: a file's digests,
   * or why it could not be read. Waited for; what it throws, the task rejects with.
   */
  readonly onFile?: ((row: DigestRow) => void | Promise<void>) | undefined;
}

/**
 * Digests every file of some sources: the whole task. What cannot be read is a
 * fault, and never ends it. Links are passed over, as what they lead to is met
 * where it lies.
 *
 * @throws FirmtallyError `source-invalid`, `engine-invalid`; what listing a source throws; the signal's reason;
 *   what a callback throws
 * @example
 * const platform = { engine: hashWasmEngine, archives: null };
 * const sources = [{ name: 'pile', kind: 'folder', folder: pile }] as const;
 * const { files } = await digest(sources, { platform, algorithms: ['crc32'] });
 * files.map(({ path, size }) => [path, size]); // => [['pile/some.dat', 3]]
 */
export async function digest(
  sources: readonly PileSource[],
  options: DigestSourcesOptions,
): Promise<DigestDocument> {
  const { signal, onFile, algorithms = USUAL_ALGORITHMS, jobs = USUAL_JOBS } = options;
  signal?.throwIfAborted();
  const { engine } = checkedPlatform(options.platform, signal);
  const count = new ProgressCount(options.onProgress);
  count.start('list');
  const { files, faults } = await listPile(checkedPile(sources, signal), signal, count);
  for (const fault of faults) await onFile?.(fault);
  const wanted = files.map(({ source, entry, path }) => ({
    ...{ path, algorithms, size: entry.size },
    read: (work: DigestOptions) => digestFile(source.folder, entry.path, algorithms, engine, work),
  }));
  const rows = await digestRows(wanted, {
    digest: ({ path, read }, work) => rowOf(path, () => read(work)),
    ...{ jobs, count, onFile, signal },
  });
  return digestDocument([...faults, ...rows]);
}

/**
 * Verifies the files of a folder that checksum lists name: the whole task. A
 * file that cannot be read is a fault and a line's status, and never ends it.
 * Only what is listed of the folder is opened: a path that leads out of it is
 * `unreadable`.
 *
 * @param lists checksum lists as they were read from where they lie; the paths in them start from the folder
 * @throws FirmtallyError `source-invalid`, `engine-invalid`; what `folder.list` throws when the root itself cannot
 *   be listed; the signal's reason; what a callback throws
 * @example
 * const platform = { engine: hashWasmEngine, archives: null };
 * const list = new TextEncoder().encode('900150983cd24fb0d6963f7d28e17f72  some.dat\n');
 * const { totals } = await verifySums(pile, [{ path: 'SUMS', bytes: list }], { platform });
 * totals.match; // => 1
 */
export async function verifySums(
  folder: FolderSource,
  lists: readonly ListFile[],
  options: SourceTaskOptions,
): Promise<CheckDocument> {
  const { signal, jobs = USUAL_JOBS } = options;
  signal?.throwIfAborted();
  const { engine } = checkedPlatform(options.platform, signal);
  const read = lists.map(({ path, bytes }) => ({ path, sums: parseSums(bytes) }));
  const files = listedFiles(read);
  const count = new ProgressCount(options.onProgress);
  count.start('list');
  const checked = checkedFolder(folder, signal);
  const listing = await buildListing(checked, { signal, count });
  const wanted: (WantedFile & { readonly found: Entry | ReadError })[] = [];
  for (const file of files) {
    const found = await find(file.path, listing);
    wanted.push({ ...file, size: found instanceof ReadError ? 0 : found.size, found });
  }
  const rows = await digestRows(wanted, {
    digest: ({ path, algorithms, found }, work) =>
      rowOf(path, () => {
        if (found instanceof ReadError) throw found;
        return digestFile(checked, contentPath(found), algorithms, engine, work);
      }),
    ...{ jobs, count, signal },
  });
  return checkLists(read, files, rows);
}

/** Only a ReadError is a fault; anything else is thrown. */
async function rowOf(path: string, read: () => ReturnType<typeof digestFile>): Promise<DigestRow> {
  try {
    return digestedFile(path, await read());
  } catch (error) {
    if (!(error instanceof ReadError)) throw error;
    return { path, code: error.code, message: error.message };
  }
}

/** What a list's path names; `./` before it means nothing. */
async function find(path: string, listing: Listing): Promise<Entry | ReadError> {
  const names = path.split('/').filter((name, at) => name !== '.' && (name !== '' || at === 0));
  if (names.includes('..') || names[0] === '') {
    return new ReadError('outside-root', 'its path is not one below the root');
  }
  const item = listing.get(names.join('/'));
  if (item === undefined) return new ReadError('vanished', 'no such file');
  if (!isReadable(item)) {
    const { code, message } = unreadableFault(item);
    return new ReadError(code, message);
  }
  try {
    return await listing.sized(item);
  } catch (error) {
    if (error instanceof ReadError) return error;
    throw error;
  }
}
