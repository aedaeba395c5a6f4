import { readRange } from '../bytes/collect.js';
import { ReadError } from '../bytes/source.js';
import { fact } from '../facts/fact.js';
import type { Fact } from '../facts/fact-values.js';
import type { Member } from '../manifest/model.js';
import { isZip } from '../recognise/containers.js';
import { algorithmsOf, matchDump } from '../recognise/dumps.js';
import { type ZipContents } from '../recognise/members.js';
import { blank } from './detectors/blank.js';
import { empty } from './detectors/empty.js';
import { listSlip } from './detectors/list-slip.js';
import { otherFirmware } from './detectors/other-firmware.js';
import { webPage } from './detectors/web-page.js';
import type { Diagnosis } from './diagnosis.js';
import { restored, unproven, type Subject } from './subject.js';
import { gzipBytes, memberBytes, membersOf } from './zip-subject.js';

/** Says why a file is not the ZIP an entry with `members` wants. `diagnoseDump` examines one member's bytes. */
export async function diagnoseMembers(
  subject: Subject,
  members: readonly Member[],
  diagnoseDump: (subject: Subject) => Promise<Diagnosis>,
): Promise<Diagnosis> {
  for (const detector of [empty, otherFirmware]) {
    const found = await detector.detect(subject);
    if (found !== null) return found;
  }
  const zip = await membersOf(subject, members);
  if (zip === null) return diagnoseNoZip(subject, members);
  const { contents, finding } = zip;
  const [first] = finding.wrong;
  if (first === undefined) return unproven('unknown', ...finding.facts);
  if (first.fact.code === 'member-missing') {
    return (await zipInZip(subject, contents, members)) ?? unproven('unknown', first.fact);
  }
  return diagnoseMember(subject, contents, members, first, diagnoseDump);
}

async function diagnoseNoZip(subject: Subject, members: readonly Member[]): Promise<Diagnosis> {
  return (
    (await gzippedZip(subject, members)) ??
    (await webPage.detect(subject)) ??
    (await blank.detect(subject)) ??
    (await cutZip(subject)) ??
    (await bareMember(subject, members)) ??
    unproven('unknown', await whyNoZip(subject))
  );
}

/** As the judge says it, so that a report can say it once. */
async function whyNoZip({ platform: { archives }, content }: Subject): Promise<Fact> {
  if (archives === null) return fact('zip-not-opened', {});
  try {
    await (await archives.open(content)).close();
    return fact('bounds-reached', {});
  } catch (error) {
    if (!(error instanceof ReadError)) throw error;
    return fact('not-a-zip', { reason: error.message });
  }
}

async function gzippedZip(subject: Subject, members: readonly Member[]): Promise<Diagnosis | null> {
  const bytes = await gzipBytes(subject);
  if (bytes === null || !(await isRightZip(subject.within(bytes), members))) return null;
  return restored(subject, 'wrapped', null, { kind: 'gunzip' }, fact('in-gzip', {}));
}

/** APPNOTE 4.3.7 and 4.3.16: begins like a ZIP, but the end record is not in the last 22 + 65535 bytes. */
async function cutZip(subject: Subject): Promise<Diagnosis | null> {
  if (!isZip(await subject.head())) return null;
  const start = Math.max(0, subject.size - 22 - 65_535);
  const tail = await readRange(subject.content, { start, end: subject.size });
  for (let at = 0; at + 4 <= tail.length; at++) {
    const isEnd =
      tail[at] === 0x50 && tail[at + 1] === 0x4b && tail[at + 2] === 5 && tail[at + 3] === 6;
    if (isEnd) return null;
  }
  return unproven('truncated', fact('zip-without-end', {}));
}

async function bareMember(subject: Subject, members: readonly Member[]): Promise<Diagnosis | null> {
  const found = await subject.digests(algorithmsOf(members.flatMap(({ dumps }) => dumps)));
  if (found === null) return null;
  const member = members.find(({ dumps }) => matchDump(found, dumps) !== null);
  if (member === undefined) return null;
  const firmware = subject.firmware.id;
  return unproven('unknown', fact('loose-member', { firmware, member: member.path }));
}

async function zipInZip(
  subject: Subject,
  contents: ZipContents,
  members: readonly Member[],
): Promise<Diagnosis | null> {
  const zips = contents.files.filter(
    ({ encrypted, path }) => !encrypted && path.toLowerCase().endsWith('.zip'),
  );
  for (const each of zips.slice(0, MAX_INNER_ZIPS)) {
    const step = contents.stepTo(each);
    const bytes = await memberBytes(subject, step, each.size);
    if (bytes === null || !(await isRightZip(subject.within(bytes), members))) continue;
    return restored(subject, 'wrapped', null, step, fact('in-zip', { member: each.path }));
  }
  return null;
}

async function isRightZip(subject: Subject, members: readonly Member[]): Promise<boolean> {
  return (await membersOf(subject, members))?.finding.outcome === 'right';
}

/** More than this many ZIPs in a ZIP is a collection, not a wrapping. */
const MAX_INNER_ZIPS = 4;

async function diagnoseMember(
  subject: Subject,
  contents: ZipContents,
  members: readonly Member[],
  wrong: { readonly member: Member; readonly fact: Fact },
  diagnoseDump: (subject: Subject) => Promise<Diagnosis>,
): Promise<Diagnosis> {
  const { path, dumps } = wrong.member;
  const stored = contents.named(path).find((each) => isRead(contents.digestsOf(each)));
  const bytes =
    stored === undefined ? null : await memberBytes(subject, contents.stepTo(stored), stored.size);
  if (bytes === null) return unproven('unknown', wrong.fact);
  const inner = subject.within(bytes, { ...subject.firmware, dumps, members: null });
  const found =
    (await listSlip.detect(inner)) ??
    (await otherMember(inner, members, path)) ??
    (await diagnoseDump(inner));
  // The ZIP itself is not rewritten, so what is wrong in it is named but not undone.
  const facts = found.facts.map((each) =>
    each.code === 'member-of-other-name' ? each : fact('of-member', { member: path, fact: each }),
  );
  return { ...found, remedy: null, facts };
}

function isRead(found: unknown): boolean {
  return found !== undefined && !(found instanceof Error);
}

async function otherMember(
  inner: Subject,
  members: readonly Member[],
  path: string,
): Promise<Diagnosis | null> {
  const others = members.filter((each) => each.path !== path);
  const found = await inner.digests(algorithmsOf(others.flatMap(({ dumps }) => dumps)));
  if (found === null) return null;
  for (const other of others) {
    const dump = matchDump(found, other.dumps);
    if (dump === null) continue;
    return {
      kind: 'other-firmware',
      proven: true,
      firmware: inner.firmware.id,
      dump: dump.label,
      remedy: null,
      facts: [fact('member-of-other-name', { member: path, is: other.path })],
    };
  }
  return null;
}
