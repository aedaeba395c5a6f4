import {
  collect,
  eachLimited,
  FirmtallyError,
  parseSums,
  ReadError,
  type Algorithm,
  type SumsEntry,
  type SumsList,
} from '@firmtally/core';
import { createDigester, type HostFiles } from '@firmtally/host';
import type { Context } from '../context.js';
import { startProgress } from '../terminal/progress.js';
import { digestInput, explain, STDIN, totalSize, type Outcome } from './read-input.js';

/** Bytes of one checksum list; some 150,000 lines with SHA-256. */
const MAX_LIST = 16 << 20;

/** Files in work at once: enough to keep every thread busy, few enough for a list of any length. */
const LANES = 64;

/** How one listed file fared. */
export type CheckRow =
  | { readonly status: 'match'; readonly entry: SumsEntry }
  | { readonly status: 'missing'; readonly entry: SumsEntry }
  | { readonly status: 'mismatch'; readonly entry: SumsEntry; readonly found: string }
  | { readonly status: 'unreadable'; readonly entry: SumsEntry; readonly why: string };

export interface CheckedList {
  /** As given; `-` for standard input. */
  readonly list: string;
  readonly rows: readonly CheckRow[];
  readonly problems: SumsList['problems'];
}

/**
 * Digests what the lists name, relative to the current folder.
 *
 * @throws FirmtallyError('sums-invalid') when a list cannot be read
 */
export async function checkLists(
  lists: readonly string[],
  files: HostFiles,
  context: Context,
): Promise<CheckedList[]> {
  const read: { list: string; sums: SumsList }[] = [];
  for (const list of lists) read.push({ list, sums: await readList(list, files, context) });
  const wanted = wantedDigests(read.flatMap(({ sums }) => sums.entries));
  const outcomes = await digestAll(wanted, files, context);
  return read.map(({ list, sums }) => ({
    list,
    rows: sums.entries.map((entry) => judge(entry, outcomes.get(entry.path))),
    problems: sums.problems,
  }));
}

/** Each path once, with every algorithm asked of it: a list may name a file more than once. */
function wantedDigests(entries: readonly SumsEntry[]): Map<string, Set<Algorithm>> {
  const wanted = new Map<string, Set<Algorithm>>();
  for (const { path, algorithm } of entries) {
    const algorithms = wanted.get(path);
    if (algorithms === undefined) wanted.set(path, new Set([algorithm]));
    else algorithms.add(algorithm);
  }
  return wanted;
}

async function digestAll(
  wanted: ReadonlyMap<string, ReadonlySet<Algorithm>>,
  files: HostFiles,
  context: Context,
): Promise<Map<string, Outcome>> {
  const digester = createDigester(files);
  const progress = startProgress(context, { totalBytes: totalSize(files, wanted.keys()) });
  const outcomes = new Map<string, Outcome>();
  try {
    await eachLimited(wanted, LANES, async ([path, algorithms]) => {
      const onBytes = (count: number): void => {
        progress.advance(count);
        progress.at(path);
      };
      outcomes.set(path, await digestInput(path, [...algorithms], digester, onBytes));
    });
  } finally {
    await progress.stop();
    await digester.close();
  }
  return outcomes;
}

function judge(entry: SumsEntry, outcome: Outcome | undefined): CheckRow {
  if (outcome === undefined) throw new Error('a listed file was not digested');
  if ('error' in outcome) {
    if (outcome.error.code === 'vanished') return { status: 'missing', entry };
    return { status: 'unreadable', entry, why: explain(outcome.error) };
  }
  const found = outcome.digested.digests[entry.algorithm] ?? '';
  return found === entry.digest ? { status: 'match', entry } : { status: 'mismatch', entry, found };
}

async function readList(list: string, files: HostFiles, context: Context): Promise<SumsList> {
  try {
    const bytes = await collect(list === STDIN ? context.stdin : files.open(list), MAX_LIST);
    if (bytes !== null) return parseSums(bytes);
    throw new ReadError('limit-exceeded', `a checksum list is at most ${MAX_LIST >> 20} MiB`);
  } catch (error) {
    const why = error instanceof ReadError ? explain(error) : 'standard input failed';
    throw new FirmtallyError('sums-invalid', `${list}: ${why}`, 'Name a checksum list.', {
      cause: error,
    });
  }
}
