import {
  FirmtallyError,
  parseSums,
  ReadError,
  type CheckDocument,
  type SumsList,
} from '@firmtally/core';
import {
  abortable,
  checkLists,
  collect,
  listedFiles,
  type ReadSums,
} from '@firmtally/core/internal';
import { namedFiles } from '../folder/named-files.js';
import { withSlashes } from '../folder/with-slashes.js';
import { digestAll, namedFault, STDIN, type DigestTaskOptions } from './digest-files.js';

/** Bytes of one checksum list; some 150,000 lines with SHA-256. */
const MAX_LIST = 16 << 20;

/**
 * Verifies the files that checksum lists name, relative to `cwd`: the whole
 * task. A file that cannot be read is a fault and a line's status, and never
 * ends it.
 *
 * @param lists paths of checksum lists, absolute or relative to `cwd`
 * @throws FirmtallyError `sums-invalid` when a list cannot be read; the signal's reason; what a callback throws
 * @example
 * const { totals } = await checkSums(['SUMS'], { cwd: 'card' });
 * totals.match; // => 1
 */
export async function checkSums(
  lists: readonly string[],
  options: DigestTaskOptions = {},
): Promise<CheckDocument> {
  const read: ReadSums[] = [];
  for (const list of lists) {
    options.signal?.throwIfAborted();
    read.push({ path: withSlashes(list), sums: await readList(list, options) });
  }
  const files = listedFiles(read);
  // What a list calls `-` is a file of that name.
  const rows = await digestAll(files, { ...options, stdin: undefined });
  return checkLists(read, files, rows);
}

async function readList(list: string, options: DigestTaskOptions): Promise<SumsList> {
  const { stdin, signal, cwd = process.cwd() } = options;
  const isStdin = list === STDIN && stdin !== undefined;
  try {
    const stream = isStdin ? stdin : namedFiles(cwd).open(list);
    const bytes = await collect(abortable(stream, signal), MAX_LIST);
    if (bytes !== null) return parseSums(bytes);
    throw new ReadError('limit-exceeded', `a checksum list is at most ${MAX_LIST >> 20} MiB`);
  } catch (error) {
    if (signal?.aborted === true || (!(error instanceof ReadError) && !isStdin)) throw error;
    const why =
      error instanceof ReadError ? namedFault(list, error).message : 'standard input failed';
    throw new FirmtallyError('sums-invalid', `${list}: ${why}`, 'Name a checksum list.', {
      cause: error,
    });
  }
}
