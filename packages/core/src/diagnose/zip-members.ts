import type { Archive, ArchiveMember } from '../bytes/archive.js';
import { ReadError } from '../bytes/source.js';
import type { Member } from '../manifest/model.js';
import { collect } from '../bytes/collect.js';
import { Prover } from './proof.js';
import type { Subject } from './subject.js';

/** Whether the first bytes are a ZIP's first local file header (APPNOTE 4.3.7). */
export function isZip([p, k, three, four]: Uint8Array): boolean {
  return p === 0x50 && k === 0x4b && three === 3 && four === 4;
}

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
  /** `missing`: no such path. `encrypted` and `unreadable`: as `reason` says. `too-large`: over the bounds. */
  readonly why: 'missing' | 'encrypted' | 'unreadable' | 'too-large' | 'wrong-bytes';
  /** Why it cannot be read, without a full stop; null where `why` says all. */
  readonly reason: string | null;
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
    // As the judge compares names: one Unicode form, and of several one right one is enough.
    const path = member.path.normalize('NFC');
    const named = archive.members.filter(
      (each) => each.kind === 'file' && each.path.normalize('NFC') === path,
    );
    if (named.length === 0) return { member, why: 'missing', reason: null, bytes: null };
    let first: WrongMember | null = null;
    let right = false;
    for (const stored of named) {
      const wrong = await wrongBytes(subject, archive, stored, member);
      right = wrong === null;
      if (right) break;
      first ??= wrong;
    }
    if (!right) return first;
  }
  return null;
}

async function wrongBytes(
  subject: Subject,
  archive: Archive,
  stored: ArchiveMember,
  member: Member,
): Promise<WrongMember | null> {
  const bytes = await readMember(subject, archive, stored);
  if (bytes === 'too-large') return { member, why: bytes, reason: null, bytes: null };
  if (bytes instanceof ReadError) {
    const why = stored.encrypted ? 'encrypted' : 'unreadable';
    return { member, why, reason: bytes.message, bytes: null };
  }
  const prover = new Prover(member.dumps, subject.budget, subject.digestBytes);
  const dump = await prover.prove(bytes);
  return dump === null ? { member, why: 'wrong-bytes', reason: null, bytes } : null;
}

async function readMember(
  subject: Subject,
  archive: Archive,
  member: ArchiveMember,
): Promise<Uint8Array | ReadError | 'too-large'> {
  if (member.size > subject.limits.inflatedBytes) return 'too-large';
  try {
    return (await collect(archive.read(member), member.size)) ?? 'too-large';
  } catch (error) {
    if (isArchiveFault(error)) return error;
    throw error;
  }
}

function isArchiveFault(error: unknown): error is ReadError {
  return (
    error instanceof ReadError && (error.code === 'bad-archive' || error.code === 'limit-exceeded')
  );
}
