import {
  FirmtallyError,
  parseSums,
  ReadError,
  type Algorithm,
  type CheckDocument,
  type CheckedLine,
  type DigestedFile,
  type Fault,
  type SumsEntry,
  type SumsList,
} from '@firmtally/core';
import { abortable, checkDocument, collect } from '@firmtally/core/internal';
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
  const read: { readonly path: string; readonly sums: SumsList }[] = [];
  for (const list of lists) {
    options.signal?.throwIfAborted();
    read.push({ path: withSlashes(list), sums: await readList(list, options) });
  }
  const wanted = wantedDigests(read.flatMap(({ sums }) => sums.entries));
  // What a list calls `-` is a file of that name.
  const rows = await digestAll(wanted, { ...options, stdin: undefined });
  const byPath = new Map(wanted.map(({ path }, index) => [path, rows[index]]));
  const checked = read.map(({ path, sums }) => ({
    path,
    lines: sums.entries.map((entry) => checkedLine(entry, byPath.get(entry.path))),
    malformed: sums.problems,
  }));
  return checkDocument(rows, checked);
}

/** Each path once, with every algorithm asked of it: a list may name a file more than once. */
function wantedDigests(
  entries: readonly SumsEntry[],
): { readonly path: string; readonly algorithms: Algorithm[] }[] {
  const wanted = new Map<string, Algorithm[]>();
  for (const { path, algorithm } of entries) {
    const algorithms = wanted.get(path);
    if (algorithms === undefined) wanted.set(path, [algorithm]);
    else if (!algorithms.includes(algorithm)) algorithms.push(algorithm);
  }
  return [...wanted].map(([path, algorithms]) => ({ path, algorithms }));
}

function checkedLine(entry: SumsEntry, row: DigestedFile | Fault | undefined): CheckedLine {
  const { line, path, algorithm, digest: listed } = entry;
  if (row === undefined) throw new Error('a listed file was not digested');
  const about = { line, path, algorithm, listed };
  if ('code' in row) {
    return { ...about, found: null, status: row.code === 'vanished' ? 'missing' : 'unreadable' };
  }
  const found = row[algorithm] ?? null;
  return { ...about, found, status: found === listed ? 'match' : 'mismatch' };
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
