import type { ArchiveReader } from '../bytes/archive.js';
import { contentPath } from '../bytes/entry-content.js';
import { isReadable, type ContentSource, type Entry, type Fault } from '../bytes/source.js';
import type { Digests, DigestStream } from '../digest/engine.js';
import type { Dump, Firmware } from '../manifest/model.js';
import { sizeCanMatch, type AlgorithmPlan } from './algorithms.js';
import type { FaultLog } from './fault-log.js';
import type { FileDigests } from './file-digests.js';
import { judgeMembers } from './judge-members.js';
import { matchDump } from './match-dump.js';
import { sentence } from '../text/sentence.js';

/** Everything that reading one file's content for a verdict takes. */
export interface Reading {
  readonly folder: ContentSource;
  readonly digests: FileDigests;
  readonly plan: AlgorithmPlan;
  readonly archives: ArchiveReader | null;
  readonly digestStream: DigestStream;
  readonly faults: FaultLog;
}

/** What one file is to one firmware entry. `present`: the entry gives no digest, so nothing can be wrong with it. */
export interface EntryFinding {
  readonly entry: Entry;
  readonly outcome: 'right' | 'wrong' | 'present' | 'unreadable';
  readonly dump: string | null;
  readonly size: number | null;
  readonly digests: Digests | null;
  readonly detail: readonly string[];
}

/** Judges the file at (or, but for letter case, at) the expected path. */
export async function judgeEntry(
  entry: Entry,
  firmware: Firmware,
  reading: Reading,
): Promise<EntryFinding> {
  if (!isReadable(entry)) {
    const fault = notRegular(entry);
    reading.faults.add(fault);
    return unreadable(entry, fault);
  }
  try {
    return await judgeReadable(entry, firmware, reading);
  } catch (error) {
    return unreadable(entry, reading.faults.note(entry.path, error));
  }
}

/** Whether a file that lies elsewhere has the right bytes. What cannot be read is a fault and not right. */
export async function isRight(
  entry: Entry,
  firmware: Firmware,
  reading: Reading,
): Promise<boolean> {
  try {
    if (firmware.members !== null) {
      if (reading.archives === null) return false;
      const { archives } = reading;
      return (await judgeMembers(entry, firmware.members, { ...reading, archives })).right;
    }
    if (!sizeCanMatch(entry.size, firmware.dumps)) return false;
    return (await matchAt(entry, firmware, reading)) !== null;
  } catch (error) {
    reading.faults.note(entry.path, error);
    return false;
  }
}

/** The dump that a file elsewhere is, from digests that {@link isRight} has taken already. */
export async function matchAt(
  entry: Entry,
  firmware: Firmware,
  reading: Reading,
): Promise<{ readonly dump: Dump; readonly digests: Digests; readonly size: number } | null> {
  const found = await reading.digests.of(entry, reading.plan.forCandidate(entry.size));
  const dump = matchDump(found, firmware.dumps);
  return dump === null ? null : { dump, ...found };
}

async function judgeReadable(
  entry: Entry,
  firmware: Firmware,
  reading: Reading,
): Promise<EntryFinding> {
  const { members, dumps } = firmware;
  const base = { entry, dump: null, size: entry.size, detail: linkDetail(entry) };
  if (members === null && dumps.length > 0 && !sizeCanMatch(entry.size, dumps)) {
    return { ...base, outcome: 'wrong', digests: null };
  }
  const { archives } = reading;
  if (members !== null && archives === null) {
    const message = 'ZIP archives cannot be read here';
    const fault: Fault = { path: entry.path, code: 'bad-archive', message };
    reading.faults.add(fault);
    return unreadable(entry, fault);
  }
  const found = await reading.digests.of(entry, reading.plan.forExpected(entry.size));
  if (members !== null && archives !== null) {
    const finding = await judgeMembers(entry, members, { ...reading, archives });
    return {
      ...base,
      ...found,
      outcome: finding.right ? 'right' : 'wrong',
      detail: [...base.detail, ...finding.detail],
    };
  }
  if (dumps.length === 0) return { ...base, ...found, outcome: 'present' };
  const dump = matchDump(found, dumps);
  return {
    ...base,
    ...found,
    outcome: dump === null ? 'wrong' : 'right',
    dump: dump?.label ?? null,
  };
}

function unreadable(entry: Entry, fault: Fault): EntryFinding {
  return {
    entry,
    outcome: 'unreadable',
    dump: null,
    size: null,
    digests: null,
    detail: [...linkDetail(entry), sentence(fault.message)],
  };
}

/** Says so when a file was read through a link. */
export function linkDetail(entry: Entry): readonly string[] {
  return entry.kind === 'link' && isReadable(entry)
    ? [`A link, read as ${contentPath(entry)}.`]
    : [];
}

const NOT_REGULAR: Readonly<Record<Exclude<Entry['kind'], 'file' | 'link'>, string>> = {
  folder: 'it is a folder, not a file',
  fifo: 'it is a named pipe, not a file',
  socket: 'it is a socket, not a file',
  device: 'it is a device, not a file',
  unknown: 'it is not a regular file',
};

const LINK_FAULT = {
  'outside-root': 'this link leads out of the audited folder',
  'broken-link': 'this link leads nowhere',
  'not-a-file': 'this link does not lead to a file',
  'permission-denied': 'no permission to follow this link',
  'io-error': 'the system failed to follow this link',
} as const;

function notRegular(entry: Entry): Fault {
  if (entry.kind !== 'link') {
    const message = entry.kind === 'file' ? '' : NOT_REGULAR[entry.kind];
    return { path: entry.path, code: 'not-a-file', message };
  }
  const code = entry.link?.fault ?? 'broken-link';
  return { path: entry.path, code, message: LINK_FAULT[code] };
}
