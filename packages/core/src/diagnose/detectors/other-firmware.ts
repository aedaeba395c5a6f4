import { fact } from '../../facts/fact.js';
import { dumpName } from '../../manifest/dump-name.js';
import type { Dump, Firmware } from '../../manifest/model.js';
import type { OtherFirmware } from '../diagnosis.js';
import type { Detector, Subject } from '../subject.js';
import { zipContents } from '../zip-subject.js';

export const otherFirmware: Detector = {
  name: 'other-firmware',
  description: 'The bytes are, as they stand, those of another entry of the manifest.',
  detect: async (subject) => (await asDump(subject)) ?? (await asMembers(subject)),
};

async function asDump(subject: Subject): Promise<OtherFirmware | null> {
  const { known, size } = subject;
  if (known === null || size === 0 || !known.files.couldMatch(size)) return null;
  const found = await subject.digests(known.files.algorithms);
  if (found === null) return null;
  const other = known.filesOf(found).find(({ firmware }) => firmware.id !== subject.firmware.id);
  return other === undefined ? null : diagnosisOf(other.firmware, other.dump);
}

async function asMembers(subject: Subject): Promise<OtherFirmware | null> {
  const { known } = subject;
  if (known === null || known.zips.length === 0) return null;
  const contents = await zipContents(subject, known.wantedMembers);
  if (contents === null) return null;
  const other = known.zipsOf(contents).find(({ id }) => id !== subject.firmware.id);
  return other === undefined ? null : diagnosisOf(other, null);
}

function diagnosisOf(firmware: Firmware, dump: Dump | null): OtherFirmware {
  const name = dumpName(firmware, dump?.label ?? null);
  return {
    kind: 'other-firmware',
    proven: true,
    firmware: firmware.id,
    dump: dump?.label ?? null,
    remedy: null,
    facts: [fact('other-firmware', { firmware: firmware.id, dump: name })],
  };
}
