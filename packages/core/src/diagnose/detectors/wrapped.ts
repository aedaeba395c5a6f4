import type { ArchiveMember } from '../../bytes/archive.js';
import { ReadError } from '../../bytes/source.js';
import { collect } from '../../bytes/collect.js';
import type { Diagnosis, Remedy, RemedyStep } from '../diagnosis.js';
import { restored, type Detector, type Subject } from '../subject.js';
import { gunzip, isGzip } from '../transforms/gunzip.js';
import { openZip } from '../zip-members.js';
import { DAMAGE_DETECTORS } from './damage.js';

export const wrapped: Detector = {
  name: 'wrapped',
  description: 'The file is a gzip (RFC 1952) or ZIP file that holds the dump.',
  detect: async (subject) => (await inGzip(subject)) ?? (await inZip(subject)),
};

async function inGzip(subject: Subject): Promise<Diagnosis | null> {
  if (!isGzip(await subject.head())) return null;
  const source = subject.content.read({ start: 0, end: subject.size });
  const bytes = await gunzip(source, subject.limits.inflatedBytes, subject.archives);
  if (typeof bytes === 'string') return null;
  return inside(subject, bytes, { kind: 'gunzip' }, 'a gzip file');
}

async function inZip(subject: Subject): Promise<Diagnosis | null> {
  const archive = await openZip(subject);
  if (archive === null) return null;
  try {
    for (const member of worthReading(subject, archive.members)) {
      const bytes = await collect(archive.read(member), member.size).catch(skipDamaged);
      if (bytes === null) continue;
      const step: RemedyStep = { kind: 'unzip', member: member.path };
      const found = await inside(subject, bytes, step, 'a ZIP file');
      if (found !== null) return found;
    }
    return null;
  } finally {
    await archive.close();
  }
}

/** Members of a dump's size first; within the bounds, the rest too, as they may be damaged themselves. */
function worthReading(subject: Subject, members: readonly ArchiveMember[]): ArchiveMember[] {
  const readable = members.filter(
    ({ kind, encrypted, size }) =>
      kind === 'file' && !encrypted && size > 0 && size <= subject.limits.inflatedBytes,
  );
  const likely = readable.filter(({ size }) => subject.prover.fits(size));
  const rest = readable.filter(({ size }) => !subject.prover.fits(size));
  return [...likely, ...rest].slice(0, subject.limits.zipMembers);
}

/** One damaged member does not speak against the others. */
function skipDamaged(error: unknown): null {
  if (error instanceof ReadError && ['bad-archive', 'limit-exceeded'].includes(error.code))
    return null;
  throw error;
}

async function inside(
  subject: Subject,
  bytes: Uint8Array,
  step: RemedyStep,
  container: string,
): Promise<Diagnosis | null> {
  const dump = await subject.prover.prove(bytes);
  if (dump !== null) {
    return restored(
      subject,
      'wrapped',
      dump,
      step,
      `The file is ${container} that holds the dump.`,
    );
  }
  const inner = subject.within(bytes);
  for (const detector of DAMAGE_DETECTORS) {
    const found = await detector.detect(inner);
    if (found === null || found.remedy === null) continue;
    const remedy: Remedy = { kind: 'sequence', steps: [step, ...stepsOf(found.remedy)] };
    return {
      ...found,
      kind: 'wrapped',
      remedy,
      detail: `The file is ${container}; what it holds is ${found.kind}: ${found.detail}`,
    };
  }
  return null;
}

function stepsOf(remedy: Remedy): readonly RemedyStep[] {
  return remedy.kind === 'sequence' ? remedy.steps : [remedy];
}
