import type { ArchiveMember } from '../../bytes/archive.js';
import { fact } from '../../facts/fact.js';
import type { Fact } from '../../facts/fact-values.js';
import { isZip, type ContainerStep } from '../../recognise/containers.js';
import { isGzip } from '../../recognise/gunzip.js';
import { WantedMembers, type ZipContents } from '../../recognise/members.js';
import type { Remedy, RemedyStep, Restored } from '../diagnosis.js';
import { restored, type DamageDetector, type Subject } from '../subject.js';
import { gzipBytes, memberBytes, zipContents } from '../zip-subject.js';
import { DAMAGE_DETECTORS } from './damage.js';

export const wrapped: DamageDetector = {
  name: 'wrapped',
  description: 'The file is a gzip (RFC 1952) or ZIP file that holds the dump.',
  detect: async (subject) =>
    subject.depth >= MAX_DEPTH ? null : ((await inGzip(subject)) ?? (await inZip(subject))),
};

/** Containers opened one in the other. */
const MAX_DEPTH = 2;

async function inGzip(subject: Subject): Promise<Restored | null> {
  const bytes = await gzipBytes(subject);
  return bytes === null ? null : inside(subject, bytes, { kind: 'gunzip' }, fact('in-gzip', {}));
}

async function inZip(subject: Subject): Promise<Restored | null> {
  const contents = await zipContents(subject, new WantedMembers([]));
  if (contents === null) return null;
  for (const member of worthReading(subject, contents)) {
    const step = contents.stepTo(member);
    const bytes = await memberBytes(subject, step, member.size);
    if (bytes === null) continue;
    const found = await inside(subject, bytes, step, fact('in-zip', { member: member.path }));
    if (found !== null) return found;
  }
  return null;
}

/** Members of a dump's size first; within the bounds, the rest too, as they may be damaged themselves. */
function worthReading({ prover, limits }: Subject, { files }: ZipContents): ArchiveMember[] {
  const readable = files.filter(
    ({ encrypted, size }) => !encrypted && size > 0 && size <= limits.inflatedBytes,
  );
  const likely = readable.filter(({ size }) => prover.fits(size));
  const rest = readable.filter(({ size }) => !prover.fits(size));
  return [...likely, ...rest].slice(0, limits.zipMembers);
}

async function inside(
  subject: Subject,
  bytes: Uint8Array,
  step: ContainerStep,
  container: Fact,
): Promise<Restored | null> {
  const dump = await subject.prover.prove(bytes);
  if (dump !== null) return restored(subject, 'wrapped', dump, step, container);
  const inner = subject.within(bytes);
  // A stored member stands in a ZIP as it is, behind what could pass for a copier's header.
  const isContainer = isZip(bytes) || isGzip(bytes);
  const checks = isContainer ? [wrapped, ...DAMAGE_DETECTORS] : DAMAGE_DETECTORS;
  for (const detector of checks) {
    const found = await detector.detect(inner);
    if (found === null || found.remedy === null) continue;
    const remedy: Remedy = { kind: 'sequence', steps: [step, ...stepsOf(found.remedy)] };
    const facts = [container, ...found.facts.map((each) => fact('content', { fact: each }))];
    return { ...found, kind: 'wrapped', remedy, facts };
  }
  return null;
}

function stepsOf(remedy: Remedy): readonly RemedyStep[] {
  return remedy.kind === 'sequence' ? remedy.steps : [remedy];
}
