import type { RandomAccess } from '../bytes/source.js';
import type { StreamDigests } from '../bytes/digests.js';
import type { Platform } from '../digest/engine.js';
import { fact } from '../facts/fact.js';
import type { Fact } from '../facts/fact-values.js';
import type { Firmware } from '../manifest/model.js';
import { isZip } from '../recognise/containers.js';
import { mismatchFact } from '../recognise/dumps.js';
import { isGzip } from '../recognise/gunzip.js';
import type { KnownDumps } from '../recognise/known-dumps.js';
import { blank } from './detectors/blank.js';
import { DAMAGE_DETECTORS } from './detectors/damage.js';
import { empty } from './detectors/empty.js';
import { listSlip } from './detectors/list-slip.js';
import { otherFirmware } from './detectors/other-firmware.js';
import { truncated } from './detectors/truncated.js';
import { webPage } from './detectors/web-page.js';
import { wrapped } from './detectors/wrapped.js';
import type { Diagnosis } from './diagnosis.js';
import { diagnoseMembers } from './diagnose-members.js';
import { DIAGNOSIS_LIMITS, type DiagnosisLimits } from './limits.js';
import { Subject, unproven, type Detector, type DetectorInfo } from './subject.js';

const CHECKS: readonly Detector[] = [
  listSlip,
  empty,
  otherFirmware,
  ...DAMAGE_DETECTORS,
  wrapped,
  blank,
  webPage,
  truncated,
];

/** A stored member's bytes stand in the ZIP as they are, behind what could pass for a copier's header. */
const CONTAINER_CHECKS: readonly Detector[] = [
  listSlip,
  empty,
  otherFirmware,
  wrapped,
  ...CHECKS.filter((each) => ![listSlip, empty, otherFirmware, wrapped].includes(each)),
];

/**
 * Every check in the order it is made; the first that finds something decides.
 * Before anything is said against the file, the manifest's values are compared
 * with each other. Only what begins as a ZIP or gzip file is looked into before damage is undone.
 * First bytes that are right as they stand, then those that digests prove to be
 * right once a damage is undone, then what the bytes say of themselves, and
 * last what only the size suggests.
 */
export const DETECTORS: readonly DetectorInfo[] = CHECKS;

/** What a diagnosis takes. */
export interface DiagnoseFileInput {
  /** A file whose bytes are not those of any dump of `firmware`. */
  readonly content: RandomAccess;
  readonly firmware: Firmware;
  /** Its digests, when they were taken already: they need not be taken again. */
  readonly found?: StreamDigests | null;
  /** For recognising another entry's dump; null: not looked for. */
  readonly known: KnownDumps | null;
  readonly platform: Platform;
  /** In place of those of {@link DIAGNOSIS_LIMITS}. */
  readonly limits?: Partial<DiagnosisLimits>;
}

/**
 * Says why a file is not the firmware it should be. Every diagnosis but
 * `truncated` and `unknown` is proven, either by undoing the damage in memory and
 * comparing every digest the manifest gives, or by the bytes themselves. A dump
 * of which only a CRC-32 is given is met by chance with a probability of 2^-32
 * for each guess, and at most `hashPasses` guesses are made.
 *
 * Memory, bytes read and bytes hashed are bounded by {@link DIAGNOSIS_LIMITS}.
 * Throws ReadError when the file itself cannot be read or changes meanwhile.
 */
export async function diagnoseFile(input: DiagnoseFileInput): Promise<Diagnosis> {
  const limits = { ...DIAGNOSIS_LIMITS, ...input.limits };
  const subject = new Subject({ ...input, found: input.found ?? null, limits });
  const { members } = input.firmware;
  return members === null ? diagnoseDump(subject) : diagnoseMembers(subject, members, diagnoseDump);
}

async function diagnoseDump(subject: Subject): Promise<Diagnosis> {
  const head = await subject.head();
  const checks = isZip(head) || isGzip(head) ? CONTAINER_CHECKS : CHECKS;
  for (const detector of checks) {
    const found = await detector.detect(subject);
    if (found !== null) return found;
  }
  return unproven('unknown', ...unexplained(subject));
}

function unexplained({ size, limits, budget, firmware }: Subject): Fact[] {
  const base = mismatchFact(size, firmware.dumps);
  if (size > limits.wholeFileBytes) {
    return [base, fact('examined-in-part', { limit: limits.wholeFileBytes })];
  }
  return budget.exhausted ? [base, fact('bounds-reached', {})] : [base];
}
