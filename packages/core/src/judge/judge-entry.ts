import { contentPath } from '../bytes/entry-content.js';
import { isReadable, ReadError, type Entry, type Fault } from '../bytes/source.js';
import type { StreamDigests } from '../bytes/digests.js';
import { fact } from '../facts/fact.js';
import type { Fact } from '../facts/fact-values.js';
import { unreadableFault } from '../facts/fault.js';
import type { Dump, Firmware, Member } from '../manifest/model.js';
import { hasSizeOnly, matchDump } from '../recognise/dumps.js';
import { checkMembers, type MembersFinding } from '../recognise/members.js';
import type { AlgorithmPlan } from './algorithms.js';
import type { FaultLog } from './fault-log.js';
import type { FileDigests } from './file-digests.js';
import type { ZipFiles } from './judge-members.js';

/** Everything that reading one file's content for a verdict takes. */
export interface Reading {
  readonly digests: FileDigests;
  readonly plan: AlgorithmPlan;
  /** Null: ZIPs cannot be opened here. */
  readonly zips: ZipFiles | null;
  readonly faults: FaultLog;
}

/** What one file is to one firmware entry. `present`: the manifest gives no digest to tell by, so nothing can be wrong with it. */
export interface EntryFinding {
  readonly entry: Entry;
  readonly outcome: 'right' | 'wrong' | 'present' | 'unreadable';
  readonly dump: Dump | null;
  /** Null when it could not be read. */
  readonly found: StreamDigests | null;
  readonly facts: readonly Fact[];
}

/** Judges the file at (or, but for letter case, at) the expected path. Its bytes are digested whatever its size. */
export async function judgeEntry(
  entry: Entry,
  firmware: Firmware,
  reading: Reading,
): Promise<EntryFinding> {
  if (!isReadable(entry)) {
    const fault = unreadableFault(entry);
    reading.faults.add(fault);
    return unreadable(entry, fault);
  }
  if (firmware.members !== null && reading.zips === null) {
    const message = 'ZIP archives cannot be read here';
    const fault: Fault = { path: entry.path, code: 'bad-archive', message };
    reading.faults.add(fault);
    return unreadable(entry, fault);
  }
  try {
    const found = await reading.digests.of(
      entry,
      reading.plan.forExpected(contentPath(entry), entry.size),
    );
    const base = { entry, found, dump: null };
    const { members, dumps } = firmware;
    if (members !== null) {
      const { outcome, facts } = await judgeMembers(entry, members, reading);
      return { ...base, outcome: OUTCOME_OF[outcome], facts: [...linkFacts(entry), ...facts] };
    }
    const dump = matchDump(found, dumps);
    if (dump !== null) return { ...base, outcome: 'right', dump, facts: linkFacts(entry) };
    const { size } = found;
    const unproven =
      dumps.length === 0
        ? fact('no-digest', {})
        : hasSizeOnly(size, dumps)
          ? fact('size-only', { size })
          : null;
    if (unproven === null) return { ...base, outcome: 'wrong', facts: linkFacts(entry) };
    return { ...base, outcome: 'present', facts: [...linkFacts(entry), unproven] };
  } catch (error) {
    return unreadable(entry, reading.faults.note(entry.path, error));
  }
}

const OUTCOME_OF = { right: 'right', unproven: 'present', wrong: 'wrong' } as const;

/** A file that is no ZIP, or a damaged one, is simply wrong, as any other wrong bytes are. Throws ReadError otherwise. */
export async function judgeMembers(
  entry: Entry,
  members: readonly Member[],
  { zips }: Pick<Reading, 'zips'>,
): Promise<MembersFinding> {
  if (zips === null) return { outcome: 'wrong', facts: [], wrong: [] };
  try {
    return checkMembers(await zips.of(entry), members);
  } catch (error) {
    if (!(error instanceof ReadError) || error.code !== 'bad-archive') throw error;
    const facts = [fact('not-a-zip', { reason: error.message })];
    return { outcome: 'wrong', facts, wrong: [] };
  }
}

/** The finding on what could not be read. */
export function unreadable(entry: Entry, { code, message }: Fault): EntryFinding {
  return {
    entry,
    outcome: 'unreadable',
    dump: null,
    found: null,
    facts: [...linkFacts(entry), fact('unreadable', { fault: code, reason: message })],
  };
}

/** Says so when a file was read through a link. */
export function linkFacts(entry: Entry): readonly Fact[] {
  return entry.kind === 'link' && isReadable(entry)
    ? [fact('read-through-link', { path: contentPath(entry) })]
    : [];
}
