import type { Fault } from '../bytes/source.js';
import { advice } from '../facts/advice.js';
import type { Advice, Correction } from '../facts/advice-values.js';
import type { FirmwareVerdict } from '../judge/verdict.js';
import type { Firmware } from '../manifest/model.js';
import { baseName, folderOf } from '../text/path.js';
import type { Diagnosis, Restored } from './diagnosis.js';

/** What a corrected copy is, for each damage that can be undone. */
const CORRECTIONS: Readonly<Record<Restored['kind'], Correction>> = {
  padded: 'without-bytes-after',
  'extra-header': 'without-bytes-before',
  'byte-swapped': 'bytes-in-order',
  'word-swapped': 'bytes-in-order',
  doubled: 'only-once',
  'halves-interleaved': 'halves-in-order',
  'text-mangled': 'line-endings-back',
  wrapped: 'unwrapped',
};

/** What to do about a diagnosis. */
export function adviceForDiagnosis(diagnosis: Diagnosis, firmware: Firmware): Advice {
  switch (diagnosis.kind) {
    case 'list-slip':
      return adviceForSlip(diagnosis);
    case 'other-firmware':
      return diagnosis.firmware === firmware.id
        ? advice('make-zip-again', { because: 'names-mixed-up' })
        : advice('exchange-with', { firmware: diagnosis.firmware });
    case 'empty':
    case 'truncated':
      if (firmware.members !== null) return advice('make-zip-again', { because: 'damaged' });
      return advice('copy-again', {
        because: diagnosis.kind === 'empty' ? 'empty' : 'cut-short',
      });
    case 'blank':
      if (firmware.members !== null) return advice('make-zip-again', { because: 'damaged' });
      return advice('dump-again', { because: 'blank' });
    case 'web-page':
      if (firmware.members !== null) return advice('make-zip-again', { because: 'damaged' });
      return advice('replace-web-page', {});
    case 'unknown':
      if (firmware.members !== null) return adviceForZip(diagnosis);
      return advice('dump-again', { because: 'unknown' });
    default:
      return diagnosis.remedy === null
        ? advice('make-zip-again', { because: 'wrong-members' })
        : advice('repair', { correction: CORRECTIONS[diagnosis.kind] });
  }
}

function adviceForSlip({ facts }: Diagnosis): Advice {
  for (const each of facts) {
    const slip = each.code === 'of-member' ? each.fact : each;
    if (slip.code !== 'list-slip') continue;
    const values = slip.differs.map(({ value }) => value);
    return advice('check-manifest', { location: slip.location, values });
  }
  return advice('check-manifest', { location: null, values: [] });
}

function adviceForZip({ facts }: Diagnosis): Advice {
  for (const each of facts) {
    if (each.code !== 'member-unreadable') continue;
    return advice('make-zip-again', { because: each.encrypted ? 'encrypted' : 'unreadable' });
  }
  return advice('make-zip-again', { because: 'wrong-members' });
}

/**
 * What to do about a verdict; null when nothing is needed.
 *
 * @param diagnosis of a mismatch; null when there is none
 * @param fault why the file, or what is above it, could not be read
 */
export function adviceForVerdict(
  verdict: FirmwareVerdict,
  firmware: Firmware,
  diagnosis: Diagnosis | null,
  fault: Fault | null,
): Advice | null {
  const { expectedPath: path, foundAt } = verdict;
  const blockedBy = verdict.obstacle?.path ?? null;
  switch (verdict.verdict) {
    case 'match':
      return null;
    case 'unverified':
      return advice('add-digest', { firmware: verdict.id });
    case 'missing':
      return advice('put-dump', { path, blockedBy });
    case 'misplaced':
      return advice('copy-there', { from: foundAt ?? path, path, blockedBy });
    case 'miscased':
      return advice('rename-to', { from: foundAt ?? path, to: renamed(foundAt, path) });
    case 'unreadable':
      return adviceForFault(fault, path, blockedBy);
    case 'mismatch':
      if (foundAt !== null && foundAt !== verdict.judged) {
        return advice('replace-with', { from: foundAt });
      }
      return diagnosis === null ? advice('replace', {}) : adviceForDiagnosis(diagnosis, firmware);
  }
}

/** Only the name when the folder is right already. */
function renamed(foundAt: string | null, expectedPath: string): string {
  const sameFolder = foundAt !== null && folderOf(foundAt) === folderOf(expectedPath);
  return sameFolder ? baseName(expectedPath) : expectedPath;
}

function adviceForFault(fault: Fault | null, path: string, folder: string | null): Advice {
  switch (fault?.code) {
    case 'not-a-file':
      return advice('move-aside', { path });
    case 'outside-root':
    case 'broken-link':
      return advice('replace-link', {});
    case 'permission-denied':
      return advice('allow-reading', { path: folder });
    case 'busy':
      return advice('close-program', {});
    case 'vanished':
      return advice('check-card', {});
    case 'changed-while-read':
      return advice('wait-and-repeat', {});
    case 'bad-archive':
    case 'limit-exceeded':
      return advice('make-zip-again', { because: 'wrong-members' });
    default:
      return advice('try-another-reader', {});
  }
}
