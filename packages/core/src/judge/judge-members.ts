import type { Archive, ArchiveMember, ArchiveReader } from '../bytes/archive.js';
import { entryAccess } from '../bytes/entry-content.js';
import { ReadError, type ContentSource, type Entry } from '../bytes/source.js';
import type { DigestStream } from '../digest/engine.js';
import type { Member } from '../manifest/model.js';
import { foldCase } from '../text/fold.js';
import { sentence } from '../text/sentence.js';
import { algorithmsOf, sizeCanMatch } from './algorithms.js';
import { matchDump } from './match-dump.js';

/** What a ZIP's members say about an entry that lists some. */
export interface MembersFinding {
  /** Whether every listed member is there and right. */
  readonly right: boolean;
  /** One plain sentence for each wrong member, and one naming the extra ones. */
  readonly detail: readonly string[];
}

/** Where members are read from. */
export interface MemberReading {
  readonly folder: ContentSource;
  readonly archives: ArchiveReader;
  readonly digestStream: DigestStream;
}

/**
 * Judges a ZIP by its members. A file that is no ZIP, or a damaged one, is
 * simply wrong, as any other wrong bytes are; throws ReadError for what could
 * not be read at all, or is over a limit.
 */
export async function judgeMembers(
  entry: Entry,
  members: readonly Member[],
  reading: MemberReading,
): Promise<MembersFinding> {
  let archive: Archive;
  try {
    archive = await reading.archives.open(entryAccess(reading.folder, entry));
  } catch (error) {
    return { right: false, detail: [sentence(badArchive(error))] };
  }
  try {
    return await judgeArchive(archive, members, reading.digestStream);
  } finally {
    await archive.close();
  }
}

/** The same of a ZIP that is open already. Throws ReadError as above. */
export async function judgeArchive(
  archive: Archive,
  members: readonly Member[],
  digestStream: DigestStream,
): Promise<MembersFinding> {
  const files = archive.members.filter((member) => member.kind === 'file');
  const wrong: string[] = [];
  const listed = new Set<string>();
  for (const member of members) {
    const path = member.path.normalize('NFC');
    listed.add(path);
    const named = files.filter((file) => file.path.normalize('NFC') === path);
    const problem =
      named.length === 0
        ? absent(member.path, files)
        : await firstProblem(archive, named, member, digestStream);
    if (problem !== null) wrong.push(problem);
  }
  const extra = files.filter((file) => !listed.has(file.path.normalize('NFC')));
  return { right: wrong.length === 0, detail: [...wrong, ...namesOf(extra)] };
}

/** Null when one of the members of that name is right. */
async function firstProblem(
  archive: Archive,
  named: readonly ArchiveMember[],
  wanted: Member,
  digestStream: DigestStream,
): Promise<string | null> {
  let problem: string | null = null;
  for (const member of named) {
    const found = await memberProblem(archive, member, wanted, digestStream);
    if (found === null) return null;
    problem ??= found;
  }
  return problem;
}

async function memberProblem(
  archive: Archive,
  member: ArchiveMember,
  wanted: Member,
  digestStream: DigestStream,
): Promise<string | null> {
  if (!sizeCanMatch(member.size, wanted.dumps)) {
    return `Member ${wanted.path} has ${String(member.size)} bytes, which no dump of it has.`;
  }
  try {
    // The CRC-32 that the ZIP states is not trusted: only the bytes count.
    const found = await digestStream(archive.read(member), algorithmsOf(wanted.dumps));
    return matchDump(found, wanted.dumps) === null
      ? `Member ${wanted.path} has other bytes than any dump of it.`
      : null;
  } catch (error) {
    return sentence(`Member ${wanted.path} cannot be read: ${badArchive(error)}`);
  }
}

/** Damage is a finding about the bytes; everything else means that they were not read. */
function badArchive(error: unknown): string {
  if (error instanceof ReadError && error.code === 'bad-archive') return error.message;
  throw error;
}

function absent(path: string, files: readonly ArchiveMember[]): string {
  const folded = foldCase(path);
  const near = files.find((file) => foldCase(file.path) === folded);
  return near === undefined
    ? `Member ${path} is not in the ZIP.`
    : `Member ${path} is not in the ZIP; ${near.path} differs from it in letter case.`;
}

/** More names than this are counted, not listed. */
const MAX_NAMES = 10;

function namesOf(extra: readonly ArchiveMember[]): readonly string[] {
  if (extra.length === 0) return [];
  const names = extra.slice(0, MAX_NAMES).map((member) => member.path);
  const more = extra.length - names.length;
  return [`Extra members: ${names.join(', ')}${more > 0 ? ` and ${String(more)} more` : ''}.`];
}
