import type { Advice, AdviceCode, AdviceValues, Correction } from './advice-values.js';
import { listed, valueName } from './phrases.js';

/** The sentence for each advice. Nothing is escaped here, and no command or option is named. */
const ADVICE_WORDS: {
  readonly [Code in AdviceCode]: (values: AdviceValues[Code]) => string;
} = {
  'add-digest': ({ firmware }) =>
    `Add the digests of a copy that works to ${firmware} in the manifest, to have its bytes checked.`,
  'put-dump': ({ path, blockedBy }) =>
    blockedBy === null
      ? `Get a dump with the checksums that the manifest gives, and put it at ${path}.`
      : `Put a folder in the place of ${blockedBy}, and a dump with the checksums that the manifest gives at ${path}.`,
  'copy-there': ({ from, path, blockedBy }) =>
    blockedBy === null
      ? `Copy ${from} to ${path}.`
      : `Put a folder in the place of ${blockedBy}, and copy ${from} to ${path}.`,
  'rename-to': ({ from, to }) => `Rename ${from} to ${to}.`,
  'replace-with': ({ from }) => `Replace it with ${from}, which has the right bytes.`,
  replace: () => 'Replace it with a dump that has the checksums that the manifest gives.',
  repair: ({ correction }) => `Use a corrected copy ${CORRECTION_WORDS[correction]}.`,
  'check-manifest': ({ location, values }) => {
    const where = location === null ? '' : ` at ${location.file}:${String(location.line)}`;
    return `Look ${listed(values.map(valueName), 'and')} up again${where}: the file may be right and the manifest wrong.`;
  },
  'exchange-with': ({ firmware }) =>
    `Put this file where ${firmware} belongs, and the right one in its place.`,
  'copy-again': ({ because }) =>
    because === 'empty'
      ? 'Copy the file again from where it came from: nothing arrived.'
      : 'Copy the file again from where it came from, in binary mode; if it is as short there, dump it again.',
  'dump-again': ({ because }) =>
    because === 'blank'
      ? 'Dump it again: an erased chip or a bad contact gives nothing but 00 or FF.'
      : 'Dump it again, or look whether it is another revision that the manifest should list.',
  'replace-web-page': () => 'Replace it with a dump: a web page was saved in its place.',
  'make-zip-again': ({ because }) => ZIP_WORDS[because],
  'put-into-zip': ({ firmware }) => `Put it into a ZIP with the other members of ${firmware}.`,
  'look-for-revision': () =>
    'It is not a dump that the manifests know: look whether it is another revision, or leave it.',
  'move-aside': ({ path }) =>
    `Move what is there out of the way, and put a dump with the checksums that the manifest gives at ${path}.`,
  'replace-link': () => 'Replace the link with the file itself.',
  'allow-reading': ({ path }) => `Allow this user to read ${path ?? 'it'}, and audit again.`,
  'close-program': () => 'Close the program that has the file open, and audit again.',
  'check-card': () => 'Make sure that the card is still in its place, and audit again.',
  'wait-and-repeat': () => 'Wait until nothing else writes to the folder, and audit again.',
  'save-card': () =>
    'Files on this card have other bytes, though their times say that nothing was written since: copy everything off it now, do not trust it any longer, and compare what was on it with a backup.',
  'try-another-reader': () =>
    'Try another card reader, then save what can be read: the card may be failing.',
};

/** Makes advice; its text follows from its values. */
export function advice<Code extends AdviceCode>(
  code: Code,
  values: AdviceValues[Code],
): Advice<Code> {
  const made = { code, text: ADVICE_WORDS[code](values), ...values };
  // As in `fact`.
  return made as unknown as Advice<Code>;
}

const CORRECTION_WORDS: Readonly<Record<Correction, string>> = {
  'without-bytes-after': 'without the bytes after the dump',
  'without-bytes-before': 'without the bytes before the dump',
  'bytes-in-order': 'with its bytes in the right order',
  'halves-in-order': 'with its halves in the right order',
  'only-once': 'with the dump only once',
  'line-endings-back': 'with the line endings put back',
  unwrapped: 'of what it holds',
};

const ZIP_WORDS: Readonly<Record<AdviceValues['make-zip-again']['because'], string>> = {
  'wrong-members':
    'Make the ZIP again from good dumps of its members, each under the path the manifest gives.',
  'names-mixed-up': 'Make the ZIP again with each member under its own name.',
  encrypted:
    'Make the ZIP again without a password, each member under the path the manifest gives.',
  unreadable:
    'Make the ZIP again from good dumps of its members, stored or deflated, each under the path the manifest gives.',
  damaged: 'Copy the ZIP again from where it came from, and replace what is wrong in it.',
};
