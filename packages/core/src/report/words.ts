import type { TooFew } from '../judge/folder-check.js';
import type { DiagnosisKind } from '../diagnose/diagnosis.js';
import type { Advice, AdviceCode } from '../facts/advice-values.js';
import type { Readiness, Verdict } from '../judge/verdict.js';
import { count } from '../text/count.js';

/** How a verdict is written for people: as it is, but a mismatch by what was diagnosed. */
export function verdictWords(verdict: Verdict, diagnosis: DiagnosisKind | null): string {
  return isTold(verdict, diagnosis) ? `mismatch: ${diagnosis}` : verdict;
}

/** The same in one word, where there is room for no more. */
export function shortWord(
  verdict: Verdict,
  diagnosis: DiagnosisKind | null,
): Verdict | DiagnosisKind {
  return isTold(verdict, diagnosis) ? diagnosis : verdict;
}

function isTold(verdict: Verdict, diagnosis: DiagnosisKind | null): diagnosis is DiagnosisKind {
  return verdict === 'mismatch' && diagnosis !== null && diagnosis !== 'unknown';
}

/** What each word in a table means, to be said once beside it. */
export const MEANINGS: Readonly<Record<Verdict | DiagnosisKind | Readiness, string>> = {
  ready: 'everything it requires is there, and its checksums are right',
  unproven: 'nothing is wrong, but the manifest has no checksum for something it requires',
  'not-ready': 'something it requires is wrong or not there',
  match: 'right bytes at the right path',
  mismatch: 'a file is there, but its bytes are not those of any dump listed',
  misplaced: 'right bytes, wrong folder or name',
  miscased: 'right bytes and folder, but the letter case of the path differs',
  missing: 'not found',
  unverified: 'there, but the manifest has no checksum to tell its bytes by',
  unreadable: 'something is there that could not be read',
  'list-slip': "the manifest's own values disagree: the file has some of them and not others",
  truncated: 'it looks cut short: the end of the dump is missing',
  padded: 'the dump, with bytes added after it',
  'extra-header': 'the dump, with bytes added before it',
  'byte-swapped': 'the dump, with the two bytes of every 16-bit word exchanged',
  'word-swapped': 'the dump, with the bytes of every 32-bit word in another order',
  doubled: 'the dump more than once in a row',
  'halves-interleaved': 'the dump, with its halves mixed byte by byte, or taken apart',
  'text-mangled': 'the dump, after a transfer that changed its line endings',
  wrapped: 'a ZIP or gzip file that holds the dump',
  'web-page': 'a web page, saved in place of the dump',
  blank: 'nothing but bytes 00 or FF',
  'other-firmware': "another entry's dump",
  empty: 'a file without a byte in it',
  unknown: 'nothing that was tried explains it',
};

/** Heading of several things to do that differ in their paths only; what each is about follows. */
const TOGETHER: Readonly<Partial<Record<AdviceCode, string>>> = {
  'copy-there': 'Copy each of these to where it belongs.',
  'rename-to': 'Rename each of these.',
  'replace-with': 'Replace each of these with the file that has the right bytes.',
  'add-digest':
    'Add the checksums of copies that work to the manifest, to have the bytes of these checked.',
  'check-manifest': 'Look these up again: the files may be right and the manifest wrong.',
  'exchange-with': 'Put each of these where it belongs, and the right one in its place.',
  'move-aside': 'Move what is there out of the way, and put the right file in its place.',
  'allow-reading': 'Allow this user to read these, and audit again.',
  'put-dump': 'Make room for each of these.',
};

/** What several pieces of advice have in common; null when they are better given one by one. */
export function adviceTogether(code: AdviceCode): string | null {
  return TOGETHER[code] ?? null;
}

/** What stands beside one of several under a common heading; null when the heading says it all. */
export function adviceItem(advice: Advice): string | null {
  switch (advice.code) {
    case 'copy-there':
      return `${advice.from} -> ${advice.path}`;
    case 'rename-to':
      return `${advice.from} -> ${advice.to}`;
    case 'replace-with':
      return `right bytes: ${advice.from}`;
    case 'add-digest':
      return null;
    default:
      return advice.text;
  }
}

/** `games/tern: 1 file of at least 2`. */
export function tooFewFiles({ path, found, atLeast }: TooFew): string {
  return `${path}: ${count(found, 'file')} of at least ${String(atLeast)}`;
}

/** `1 of 5 systems is ready`, `0 of 1 system is ready`. */
export function readySystems(ready: number, all: number): string {
  const verb = ready === 1 || all === 1 ? 'is' : 'are';
  return `${String(ready)} of ${count(all, 'system')} ${verb} ready`;
}

/** In place of the rest of a long list. */
export function notShown(left: number): string {
  return `and ${String(left)} more, not shown here`;
}

/** Headings, the same in every format. */
export const HEADINGS = {
  hints: 'Look at this first',
  since: 'Since the earlier report',
  systems: 'Systems',
  toGet: 'To get',
  toDo: 'To do',
  content: 'Content',
  faults: 'Could not be read',
  strays: 'Strays',
  firmware: 'Every firmware',
} as const;

/** Said where somebody is about to do what they are about. */
export const CAUTION = {
  changing: 'The wrong firmware can stop a device from starting: keep a backup of the card.',
  getting: 'Firmware is usually copyrighted: use dumps you are entitled to and follow local law.',
  trusting: 'MD5, SHA-1 and CRC32 detect accidents, not tampering.',
} as const;

/** Said at the foot of what is passed on to other people. */
export const CAUTIONS: readonly string[] = Object.values(CAUTION);
