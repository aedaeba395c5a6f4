import type { Firmware } from '../manifest/model.js';
import type { Diagnosis, DiagnosisKind } from './diagnosis.js';

/** What a repaired copy is, for each damage that can be undone. */
const REPAIRED: Readonly<Partial<Record<DiagnosisKind, string>>> = {
  padded: 'without the bytes after the dump',
  'extra-header': 'without the bytes before the dump',
  'byte-swapped': 'with its bytes in the right order',
  'word-swapped': 'with its bytes in the right order',
  doubled: 'with the dump only once',
  'halves-interleaved': 'with its halves in the right order',
  'text-mangled': 'with the line endings put back',
  wrapped: 'of what it holds',
};

/** What to do about a diagnosis, in one plain sentence. Nothing in it is untrusted but the firmware id. */
export function adviceForDiagnosis(diagnosis: Diagnosis, firmware: Firmware): string {
  const repaired = REPAIRED[diagnosis.kind];
  if (diagnosis.proven && diagnosis.remedy !== null && repaired !== undefined) {
    return `Run \`firmtally place\` with --repair: it writes a corrected copy ${repaired}.`;
  }
  if (diagnosis.kind === 'other-firmware') return adviceForOther(diagnosis, firmware);
  if (firmware.members !== null) return adviceForZip(diagnosis);
  switch (diagnosis.kind) {
    case 'truncated':
      return 'Copy the file again from where it came from, in binary mode; if it is as short there, dump it again.';
    case 'empty':
      return 'Copy the file again from where it came from: nothing arrived.';
    case 'blank':
      return 'Dump it again: an erased chip or a bad contact gives nothing but 00 or FF.';
    case 'web-page':
      return 'Replace it with a dump: a web page was saved in its place.';
    default:
      return 'Dump it again, or look whether it is another revision that the manifest should list.';
  }
}

function adviceForOther(diagnosis: Diagnosis, firmware: Firmware): string {
  if (diagnosis.firmware === null || diagnosis.firmware === firmware.id) {
    return 'Make the ZIP again with each member under its own name.';
  }
  return `Put this file where ${diagnosis.firmware} belongs, and the right one in its place.`;
}

function adviceForZip({ kind, unreadable }: Diagnosis): string {
  if (unreadable === 'encrypted') {
    return 'Make the ZIP again without a password, each member under the path the manifest gives.';
  }
  if (unreadable === 'unreadable') {
    return 'Make the ZIP again from good dumps of its members, stored or deflated, each under the path the manifest gives.';
  }
  switch (kind) {
    case 'truncated':
    case 'empty':
    case 'blank':
    case 'web-page':
      return 'Copy the ZIP again from where it came from, and replace what is wrong in it.';
    default:
      return 'Make the ZIP again from good dumps of its members, each under the path the manifest gives.';
  }
}
