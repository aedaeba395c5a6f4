import { algorithmsOf } from '../../judge/algorithms.js';
import { isDump } from '../../judge/match-dump.js';
import { dumpName } from '../../manifest/dump-name.js';
import type { Dump, Firmware } from '../../manifest/model.js';
import type { Diagnosis } from '../diagnosis.js';
import type { Detector, Subject } from '../subject.js';
import { openZip, wrongMember } from '../zip-members.js';

export const otherFirmware: Detector = {
  name: 'other-firmware',
  description: 'The bytes are, as they stand, those of another entry of the manifest.',
  detect: async (subject) => (await asDump(subject)) ?? (await asMembers(subject)),
};

async function asDump(subject: Subject): Promise<Diagnosis | null> {
  const candidates = others(subject).flatMap((firmware) =>
    firmware.dumps
      .filter((dump) => dump.size === null || dump.size === subject.size)
      .map((dump) => ({ firmware, dump })),
  );
  if (candidates.length === 0) return null;
  const bytes = await subject.whole();
  if (bytes === null || bytes.length === 0 || !subject.budget.take(bytes.length)) return null;
  const algorithms = algorithmsOf(candidates.map(({ dump }) => dump));
  const digests = await subject.digestBytes(bytes, algorithms);
  const content = { size: bytes.length, digests };
  const found = candidates.find(({ dump }) => isDump(content, dump));
  return found === undefined ? null : diagnosisOf(found.firmware, found.dump);
}

async function asMembers(subject: Subject): Promise<Diagnosis | null> {
  const candidates = others(subject).filter(({ members }) => members !== null);
  if (candidates.length === 0) return null;
  const archive = await openZip(subject);
  if (archive === null) return null;
  try {
    for (const firmware of candidates) {
      if ((await wrongMember(subject, archive, firmware.members ?? [])) === null) {
        return diagnosisOf(firmware, null);
      }
    }
    return null;
  } finally {
    await archive.close();
  }
}

function others(subject: Subject): Firmware[] {
  return [...subject.manifest.firmware.values()].filter(({ id }) => id !== subject.firmware.id);
}

function diagnosisOf(firmware: Firmware, dump: Dump | null): Diagnosis {
  const name = dumpName(firmware, dump?.label ?? null);
  return {
    kind: 'other-firmware',
    proven: true,
    firmware: firmware.id,
    dump: dump?.label ?? null,
    remedy: null,
    detail: `These are the bytes of ${firmware.id}${name === null ? '' : ` (${name})`}.`,
  };
}
