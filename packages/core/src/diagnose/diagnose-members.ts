import type { Archive } from '../bytes/archive.js';
import type { Member } from '../manifest/model.js';
import { foldCase } from '../text/fold.js';
import { compareUtf8 } from '../text/order.js';
import { sentence } from '../text/sentence.js';
import { readRange } from '../bytes/collect.js';
import { blank } from './detectors/blank.js';
import { empty } from './detectors/empty.js';
import { otherFirmware } from './detectors/other-firmware.js';
import { webPage } from './detectors/web-page.js';
import type { Diagnosis } from './diagnosis.js';
import { Prover } from './proof.js';
import { observed, type Subject } from './subject.js';
import { gunzip, isGzip } from './transforms/gunzip.js';
import { isZip, openZip, wrongMember, type WrongMember } from './zip-members.js';
import { baseName } from '../text/path.js';

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
  const archive = await openZip(subject);
  if (archive === null) return diagnoseNoZip(subject, members);
  try {
    const wrong = await wrongMember(subject, archive, members);
    if (wrong === null) return observed('unknown', false, 'Every listed member is right.');
    if (wrong.why === 'missing') return await diagnoseMissing(subject, archive, members, wrong);
    return await diagnoseMember(subject, members, wrong, diagnoseDump);
  } finally {
    await archive.close();
  }
}

async function diagnoseNoZip(subject: Subject, members: readonly Member[]): Promise<Diagnosis> {
  const found =
    (await gzippedZip(subject, members)) ??
    (await webPage.detect(subject)) ??
    (await blank.detect(subject)) ??
    (await cutZip(subject)) ??
    (await bareMember(subject, members));
  if (found !== null) return found;
  const reason =
    subject.archives === null
      ? 'ZIP files cannot be opened here'
      : 'The file is not a readable ZIP';
  return observed('unknown', false, `${reason}.`);
}

async function gzippedZip(subject: Subject, members: readonly Member[]): Promise<Diagnosis | null> {
  if (!isGzip(await subject.head())) return null;
  const source = subject.content.read({ start: 0, end: subject.size });
  const bytes = await gunzip(source, subject.limits.inflatedBytes, subject.archives);
  if (typeof bytes === 'string') return null;
  const inner = subject.within(bytes);
  const archive = await openZip(inner);
  if (archive === null) return null;
  try {
    if ((await wrongMember(inner, archive, members)) !== null) return null;
  } finally {
    await archive.close();
  }
  return {
    ...observed('wrapped', true, 'The file is a gzip file that holds the ZIP.'),
    firmware: subject.firmware.id,
    remedy: { kind: 'gunzip' },
  };
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
  return observed('truncated', false, 'The ZIP has no end: the rest of it is missing.');
}

async function bareMember(subject: Subject, members: readonly Member[]): Promise<Diagnosis | null> {
  const bytes = await subject.whole();
  if (bytes === null) return null;
  for (const member of members) {
    const prover = new Prover(member.dumps, subject.budget, subject.digestBytes);
    if ((await prover.prove(bytes)) === null) continue;
    const detail = `The file is the member "${member.path}" itself, not a ZIP that holds it.`;
    return observed('unknown', false, detail);
  }
  return null;
}

async function diagnoseMissing(
  subject: Subject,
  archive: Archive,
  members: readonly Member[],
  wrong: WrongMember,
): Promise<Diagnosis> {
  const inner = await zipInZip(subject, archive, members);
  if (inner !== null) return inner;
  const path = wrong.member.path;
  const name = foldCase(baseName(path));
  const elsewhere = archive.members
    .filter((each) => each.kind === 'file' && foldCase(baseName(each.path)) === name)
    .map((each) => each.path)
    .sort(compareUtf8)[0];
  const hint = elsewhere === undefined ? '' : `; one lies at "${elsewhere}"`;
  return observed('unknown', false, `The ZIP has no member "${path}"${hint}.`);
}

async function zipInZip(
  subject: Subject,
  archive: Archive,
  members: readonly Member[],
): Promise<Diagnosis | null> {
  const zips = archive.members.filter(
    ({ kind, encrypted, path, size }) =>
      kind === 'file' &&
      !encrypted &&
      size <= subject.limits.inflatedBytes &&
      path.toLowerCase().endsWith('.zip'),
  );
  for (const each of zips.slice(0, MAX_INNER_ZIPS)) {
    const probe: Member = { path: each.path, dumps: [] };
    // Nothing is expected of it as a file, so its bytes come back as wrong ones.
    const { bytes } = (await wrongMember(subject, archive, [probe])) ?? { bytes: null };
    if (bytes === null) continue;
    const inner = subject.within(bytes);
    const opened = await openZip(inner);
    if (opened === null) continue;
    try {
      if ((await wrongMember(inner, opened, members)) !== null) continue;
    } finally {
      await opened.close();
    }
    return {
      ...observed('wrapped', true, `The ZIP holds the right one as "${each.path}".`),
      firmware: subject.firmware.id,
      remedy: { kind: 'unzip', member: each.path },
    };
  }
  return null;
}

/** More than this many ZIPs in a ZIP is a collection, not a wrapping. */
const MAX_INNER_ZIPS = 4;

async function diagnoseMember(
  subject: Subject,
  members: readonly Member[],
  wrong: WrongMember,
  diagnoseDump: (subject: Subject) => Promise<Diagnosis>,
): Promise<Diagnosis> {
  const path = wrong.member.path;
  if (wrong.why === 'encrypted' || wrong.why === 'unreadable') {
    // Word for word as the judge says it, so that a report can say it once.
    const detail = sentence(`Member ${path} cannot be read: ${wrong.reason ?? ''}`);
    return { ...observed('unknown', false, detail), unreadable: wrong.why };
  }
  if (wrong.bytes === null) {
    const limit = subject.limits.inflatedBytes;
    return observed('unknown', false, `Member "${path}" is larger than ${limit} bytes.`);
  }
  for (const other of members) {
    if (other.path === path) continue;
    const prover = new Prover(other.dumps, subject.budget, subject.digestBytes);
    const dump = await prover.prove(wrong.bytes);
    if (dump === null) continue;
    return {
      ...observed('other-firmware', true, `Member "${path}" has the bytes of "${other.path}".`),
      firmware: subject.firmware.id,
      dump: dump.label,
    };
  }
  const asFile = { ...subject.firmware, dumps: wrong.member.dumps, members: null };
  const inner = await diagnoseDump(subject.within(wrong.bytes, asFile));
  // The ZIP itself is not rewritten, so what is wrong in it is named but not undone.
  return { ...inner, remedy: null, detail: `Member "${path}": ${inner.detail}` };
}
