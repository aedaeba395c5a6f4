import type { Archive, ArchiveMember } from '../bytes/archive.js';
import { memoryAccess } from '../bytes/memory.js';
import { ReadError, type Fault } from '../bytes/source.js';
import { collect } from '../bytes/collect.js';
import type { Digests, DigestStream } from '../digest/engine.js';
import type { Firmware } from '../manifest/model.js';
import { sentence } from '../text/sentence.js';
import type { Examination, Examiner } from './examine.js';
import type { KnownDumps, WantedMember } from '../recognise/known-dumps.js';
import { PILE_LIMITS } from './limits.js';
import type { DumpMatch } from '../recognise/dump-index.js';

/** What one member of a ZIP turned out to be. */
export interface MemberFinding {
  readonly member: ArchiveMember;
  readonly digests: Digests | null;
  readonly files: readonly DumpMatch[];
  readonly wantedBy: readonly WantedMember[];
  readonly examination: Examination | null;
}

export interface ZipFinding {
  /** Entries the ZIP satisfies by its members. */
  readonly satisfies: readonly Firmware[];
  readonly members: readonly MemberFinding[];
  readonly faults: readonly Omit<Fault, 'path'>[];
}

export interface ZipTools {
  readonly known: KnownDumps;
  readonly examiner: Examiner;
  readonly digestStream: DigestStream;
}

/** Looks at every member of an open ZIP; ZIPs inside it stay closed. */
export async function lookInside(archive: Archive, tools: ZipTools): Promise<ZipFinding> {
  const faults: Omit<Fault, 'path'>[] = [];
  const members: MemberFinding[] = [];
  for (const member of archive.members) {
    if (member.kind !== 'file') continue;
    try {
      members.push(await recogniseMember(archive, member, tools));
    } catch (error) {
      if (!(error instanceof ReadError)) throw error;
      faults.push({ code: error.code, message: memberFault(member, error) });
    }
  }
  const satisfies = tools.known.zips.filter((firmware) => isSatisfied(firmware, members));
  if (satisfies.length > 0) return { satisfies, members, faults };
  const examined: MemberFinding[] = [];
  for (const finding of members) {
    const unknown = finding.files.length === 0 && finding.wantedBy.length === 0;
    const examination = unknown
      ? await examineMember(archive, finding.member, tools, faults)
      : null;
    examined.push({ ...finding, examination });
  }
  return { satisfies, members: examined, faults };
}

async function recogniseMember(
  archive: Archive,
  member: ArchiveMember,
  { known, digestStream }: ZipTools,
): Promise<MemberFinding> {
  const nothing = { member, digests: null, files: [], wantedBy: [], examination: null };
  // A CRC-32 that the ZIP states wrongly fails the reading anyway, so it may rule a member out.
  if (!known.isWorthHashing(member.path, member.size, member.crc32)) return nothing;
  if (member.encrypted) throw new ReadError('bad-archive', 'it is encrypted');
  const found = await digestStream(archive.read(member), known.algorithms);
  return {
    ...nothing,
    digests: found.digests,
    files: known.filesOf(found),
    wantedBy: known.membersOf(found),
  };
}

function isSatisfied(firmware: Firmware, findings: readonly MemberFinding[]): boolean {
  return (firmware.members ?? []).every((wanted) =>
    findings.some(
      ({ member, wantedBy }) =>
        member.path.normalize('NFC') === wanted.path.normalize('NFC') &&
        wantedBy.some((each) => each.member === wanted),
    ),
  );
}

async function examineMember(
  archive: Archive,
  member: ArchiveMember,
  { examiner }: ZipTools,
  faults: Omit<Fault, 'path'>[],
): Promise<Examination | null> {
  if (member.encrypted || member.size > PILE_LIMITS.memberBytes) return null;
  if (!examiner.isOfInterest(member.path, member.size)) return null;
  try {
    const bytes = await collect(archive.read(member), member.size);
    if (bytes === null) return null;
    return await examiner.examine({ name: member.path, content: memoryAccess(bytes) });
  } catch (error) {
    if (!(error instanceof ReadError)) throw error;
    faults.push({ code: error.code, message: memberFault(member, error) });
    return null;
  }
}

function memberFault({ path }: ArchiveMember, error: ReadError): string {
  return sentence(`member "${path}": ${error.message}`);
}
