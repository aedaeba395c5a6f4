import type { Fault } from '../bytes/source.js';
import type { FirmwareVerdict } from '../judge/verdict.js';
import { baseName, folderOf } from '../text/path.js';

/**
 * What to do about a verdict, in one plain sentence; null when nothing is
 * needed. `diagnosed` is the diagnosis' own advice for a mismatch.
 */
export function adviceFor(
  verdict: FirmwareVerdict,
  diagnosed: string | null,
  fault: Fault | null,
): string | null {
  const { expectedPath, foundAt } = verdict;
  const inTheWay = verdict.obstacle?.path ?? null;
  switch (verdict.verdict) {
    case 'match':
      return null;
    case 'unverified':
      return 'It is there; put a digest of a good dump into the manifest to have its bytes checked.';
    case 'missing':
      return inTheWay === null
        ? `Put a good dump of it at ${expectedPath}.`
        : `Put a folder in the place of ${inTheWay}, and a good dump at ${expectedPath}.`;
    case 'misplaced':
      if (inTheWay !== null) {
        return `Put a folder in the place of ${inTheWay}, and copy ${foundAt ?? 'it'} to ${expectedPath}.`;
      }
      return `Let \`firmtally place\` put it there, or copy ${foundAt ?? 'it'} to ${expectedPath} yourself.`;
    case 'miscased':
      return `Let \`firmtally place\` rename it, or rename ${foundAt ?? 'it'} to ${renamed(foundAt, expectedPath)} yourself.`;
    case 'unreadable':
      return adviceForFault(fault, expectedPath, inTheWay);
    case 'mismatch':
      if (foundAt !== null && foundAt !== verdict.judged) {
        return `Replace it with ${foundAt}, which has the right bytes.`;
      }
      return diagnosed ?? `Replace it with a good dump.`;
  }
}

/** Only the name when the folder is right already. */
function renamed(foundAt: string | null, expectedPath: string): string {
  const sameFolder = foundAt !== null && folderOf(foundAt) === folderOf(expectedPath);
  return sameFolder ? baseName(expectedPath) : expectedPath;
}

function adviceForFault(fault: Fault | null, expectedPath: string, folder: string | null): string {
  switch (fault?.code) {
    case 'not-a-file':
      return `Move what is there out of the way and put a good dump at ${expectedPath}.`;
    case 'outside-root':
    case 'broken-link':
      return 'Replace the link with the file itself.';
    case 'permission-denied':
      return `Allow this user to read ${folder ?? 'it'}, and audit again.`;
    case 'busy':
      return 'Close the program that has the file open, and audit again.';
    case 'vanished':
      return 'Make sure that the card is still in its place, and audit again.';
    case 'changed-while-read':
      return 'Wait until nothing else writes to the folder, and audit again.';
    case 'bad-archive':
    case 'limit-exceeded':
      return 'Make the ZIP again from good dumps of its members.';
    default:
      return 'Try another card reader, then save what can be read: the card may be failing.';
  }
}
