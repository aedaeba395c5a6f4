import type { Archive, ArchiveMember } from '../bytes/archive.js';
import { ReadError } from '../bytes/source.js';
import type { Member } from '../manifest/model.js';
import { collect } from './collect.js';
import { Prover } from './proof.js';
import type { Subject } from './subject.js';

/** Opens the file as a ZIP; null when it is none, or cannot be opened here. */
export async function openZip(subject: Subject): Promise<Archive | null> {
  if (subject.archives === null || subject.size === 0) return null;
  try {
    return await subject.archives.open(subject.content);
  } catch (error) {
    if (isArchiveFault(error)) return null;
    throw error;
  }
}

/** A listed member that is not right. */
export interface WrongMember {
  readonly member: Member;
  /** `missing`: no such path. `damaged`: it cannot be read. `too-large`: over the bounds. */
  readonly why: 'missing' | 'damaged' | 'too-large' | 'wrong-bytes';
  /** Set for `wrong-bytes` only. */
  readonly bytes: Uint8Array | null;
}

/** The first listed member that is not right, or null when every one is. */
export async function wrongMember(
  subject: Subject,
  archive: Archive,
  members: readonly Member[],
): Promise<WrongMember | null> {
  for (const member of members) {
    const stored = archive.members.find(
      ({ kind, path }) => kind === 'file' && path === member.path,
    );
    if (stored === undefined) return { member, why: 'missing', bytes: null };
    const bytes = await readMember(subject, archive, stored);
    if (typeof bytes === 'string') return { member, why: bytes, bytes: null };
    const prover = new Prover(member.dumps, subject.budget, subject.digestBytes);
    if ((await prover.prove(bytes)) === null) return { member, why: 'wrong-bytes', bytes };
  }
  return null;
}

async function readMember(
  subject: Subject,
  archive: Archive,
  member: ArchiveMember,
): Promise<Uint8Array | 'damaged' | 'too-large'> {
  if (member.size > subject.limits.inflatedBytes) return 'too-large';
  try {
    return (await collect(archive.read(member), member.size)) ?? 'damaged';
  } catch (error) {
    if (isArchiveFault(error)) return 'damaged';
    throw error;
  }
}

function isArchiveFault(error: unknown): boolean {
  return (
    error instanceof ReadError && (error.code === 'bad-archive' || error.code === 'limit-exceeded')
  );
}
