import type { ArchiveReader } from '../bytes/archive.js';
import { collect } from '../bytes/collect.js';
import { ReadError } from '../bytes/source.js';
import type { Member } from '../manifest/model.js';
import type { ContainerStep } from '../recognise/containers.js';
import { inflate, openInside } from '../recognise/containers.js';
import { isGzip } from '../recognise/gunzip.js';
import {
  checkMembers,
  readZip,
  WantedMembers,
  type MembersFinding,
  type ZipContents,
} from '../recognise/members.js';
import type { Subject } from './subject.js';

/** Reads the members of a subject that `wanted` names; null when it is no ZIP, or cannot be opened here. */
export async function zipContents(
  subject: Subject,
  wanted: WantedMembers,
): Promise<ZipContents | null> {
  const { inflatedBytes } = subject.limits;
  const { engine } = subject.platform;
  return unlessBad(subject, (archives) =>
    readZip(subject.content, { archives, engine }, (member) => {
      const algorithms = wanted.algorithmsFor(member);
      if (algorithms.length === 0 || member.size > inflatedBytes) return [];
      return subject.budget.takeInflated(member.size) ? algorithms : [];
    }),
  );
}

/** Whether a subject is a ZIP with all members wanted; null when it is no ZIP. */
export async function membersOf(
  subject: Subject,
  members: readonly Member[],
): Promise<{ readonly contents: ZipContents; readonly finding: MembersFinding } | null> {
  const contents = await zipContents(subject, new WantedMembers([{ members }]));
  if (contents === null) return null;
  return { contents, finding: checkMembers(contents, members, 'skip') };
}

/** What a member of a subject holds; null when it cannot be read, or is over the bounds. */
export async function memberBytes(
  subject: Subject,
  step: ContainerStep,
  size: number,
): Promise<Uint8Array | null> {
  const { inflatedBytes } = subject.limits;
  if (size > inflatedBytes || !subject.budget.takeInflated(size)) return null;
  return unlessBad(subject, (archives) =>
    collect(openInside(subject.content, [step], archives, inflatedBytes), inflatedBytes),
  );
}

/** What a subject holds that is a gzip file; null when it is none, or damaged, or over the bounds. */
export async function gzipBytes(subject: Subject): Promise<Uint8Array | null> {
  if (!isGzip(await subject.head())) return null;
  const { inflatedBytes } = subject.limits;
  try {
    const bytes = await inflate(subject.content, subject.platform.archives, inflatedBytes);
    return subject.budget.takeInflated(bytes.length) ? bytes : null;
  } catch (error) {
    if (isBad(error)) return null;
    throw error;
  }
}

/** Null where ZIPs cannot be opened, and for what an archive is itself to blame for. */
async function unlessBad<Result>(
  { platform: { archives } }: Subject,
  work: (archives: ArchiveReader) => Promise<Result>,
): Promise<Result | null> {
  if (archives === null) return null;
  try {
    return await work(archives);
  } catch (error) {
    if (isBad(error)) return null;
    throw error;
  }
}

function isBad(error: unknown): boolean {
  return (
    error instanceof ReadError && (error.code === 'bad-archive' || error.code === 'limit-exceeded')
  );
}
