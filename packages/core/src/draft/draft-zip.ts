import type { Archive, ArchiveMember, ArchiveReader } from '../bytes/archive.js';
import { entryAccess } from '../bytes/entry-content.js';
import { ReadError, type ContentSource, type Entry } from '../bytes/source.js';
import { ALGORITHMS } from '../bytes/digests.js';
import type { DigestEngine } from '../digest/engine.js';
import { digestStream } from '../digest/stream.js';
import { leftOutFor, type LeftOutReason } from '../facts/left-out.js';
import { isSafePath } from '../manifest/safe-path.js';
import type { DraftedMember } from './model.js';
import type { Note } from './note.js';

interface ZipOptions {
  readonly archives: ArchiveReader;
  readonly engine: DigestEngine;
  readonly onBytes: (count: number) => void;
  readonly signal: AbortSignal | undefined;
  /** Told what is left out though the ZIP is drafted. */
  readonly note: (note: Note) => void;
}

/** Inflated bytes of one ZIP; what holds more is no firmware. */
const MAX_INFLATED = 8 * 1024 ** 3;

/**
 * The members of a ZIP with their digests; why it cannot be drafted
 * by them; null when the file is no ZIP, whatever its name.
 *
 * @throws ReadError when the file itself cannot be read
 */
export async function draftZip(
  folder: ContentSource,
  entry: Entry,
  options: ZipOptions,
): Promise<readonly DraftedMember[] | LeftOutReason | null> {
  let archive: Archive;
  try {
    archive = await options.archives.open(entryAccess(folder, entry));
  } catch (error) {
    if (error instanceof ReadError && error.code === 'bad-archive') return null;
    throw error;
  }
  try {
    const files = archive.members.filter(({ kind }) => kind === 'file');
    return reasonAgainst(files) ?? (await membersOf(archive, files, options));
  } finally {
    await archive.close();
  }
}

function reasonAgainst(members: readonly ArchiveMember[]): LeftOutReason | null {
  const names = members.map(({ path }) => path);
  if (names.length === 0) return leftOutFor('zip-without-files', {});
  if (new Set(names).size < names.length) return leftOutFor('zip-same-names', {});
  if (!names.every(isSafePath)) return leftOutFor('zip-name-not-held', {});
  const total = members.reduce((sum, { size }) => sum + size, 0);
  return total > MAX_INFLATED ? leftOutFor('zip-too-large', { limit: MAX_INFLATED }) : null;
}

async function membersOf(
  archive: Archive,
  files: readonly ArchiveMember[],
  { engine, onBytes, signal, note }: ZipOptions,
): Promise<readonly DraftedMember[] | LeftOutReason> {
  const members: DraftedMember[] = [];
  for (const member of files) {
    if (member.size === 0) {
      const message = `Its member ${member.path} is empty, so there is nothing to check it by, and it is left out.`;
      note({ code: 'empty-member', message });
      continue;
    }
    try {
      const { size, digests } = await digestStream(archive.read(member), ALGORITHMS, engine, {
        onBytes,
        signal,
      });
      members.push({ path: member.path, dumps: [{ label: null, size, digests }] });
    } catch (error) {
      if (!(error instanceof ReadError) || error.code !== 'bad-archive') throw error;
      return leftOutFor('zip-member-unreadable', { member: member.path, reason: error.message });
    }
  }
  return members.length > 0 ? members : leftOutFor('zip-empty-members', {});
}
