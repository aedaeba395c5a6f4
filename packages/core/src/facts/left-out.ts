import { ALGORITHM_NAMES, ALGORITHMS, DIGEST_LENGTH, type Algorithm } from '../bytes/digests.js';
import type { EntryKind } from '../bytes/source.js';
import { sentence } from '../text/sentence.js';

/** Why a line of a list, a file, or what one holds is not in a draft, by code. */
export interface LeftOutValues {
  readonly 'no-name': { readonly of: 'line' | 'row' };
  /** Which words are the name cannot be told. */
  readonly 'unclear-name': object;
  readonly 'folder-name': object;
  /** `why`: it is absolute, leads out of the folder, holds a backslash, or is not UTF-8; null for anything else. */
  readonly 'name-not-held': {
    readonly why: 'absolute' | 'outside' | 'backslash' | 'not-utf8' | null;
  };
  readonly 'bad-escape': object;
  readonly 'no-checksum': { readonly of: 'line' | 'row' };
  /** Two words of 8 hex digits: either may be the CRC-32, and the other the name. */
  readonly 'name-or-checksum': object;
  /** Each may be the CRC-32 or the size. */
  readonly 'checksum-or-size': { readonly numbers: readonly [string, string] };
  readonly 'two-checksums': { readonly algorithm: Algorithm; readonly of: 'line' | 'row' };
  /** Of an algorithm that a manifest has no key for. */
  readonly 'other-algorithm': { readonly algorithm: string };
  /** Hex digits, the first of them in `shown`, that are as many as no checksum has, or not the one `wanted`. */
  readonly 'wrong-length': {
    readonly digits: number;
    readonly shown: string;
    readonly wanted: Algorithm | null;
    /** Whether zeros in front may be lost. */
    readonly zerosLost: boolean;
  };
  readonly 'no-digits': { readonly algorithm: Algorithm };
  readonly 'not-a-checksum': { readonly cell: string; readonly column: string | null };
  readonly 'long-line': { readonly limit: number };
  readonly 'cell-count': { readonly cells: number; readonly columns: number };
  readonly 'open-quote': object;
  /** Of JSON. */
  readonly 'no-array': object;
  readonly 'no-header': object;
  readonly 'no-row': object;
  readonly 'unknown-keys': object;
  /** So much is of no use that the rest of the list is not read. */
  readonly 'no-list': object;
  readonly link: object;
  readonly 'not-a-file': { readonly kind: EntryKind };
  readonly 'file-name-not-held': object;
  readonly empty: object;
  readonly unreadable: { readonly reason: string };
  /** A ZIP that cannot be drafted by its members. */
  readonly 'zip-without-files': object;
  readonly 'zip-same-names': object;
  readonly 'zip-name-not-held': object;
  readonly 'zip-too-large': { readonly limit: number };
  readonly 'zip-member-unreadable': { readonly member: string; readonly reason: string };
  readonly 'zip-empty-members': object;
  /** The manifest that is added to, or another source, has something else at the path. */
  readonly 'judged-whole': object;
  readonly 'judged-by-members': object;
  readonly 'other-members': object;
  readonly 'other-content': object;
  /** The path `other` stands in its way: one in other letter case, one that needs a folder there, a file it would lie in. */
  readonly 'case-clash': { readonly other: string };
  readonly 'is-folder': { readonly other: string };
  readonly 'in-file': { readonly other: string };
}

/** Stable codes of why something is not in a draft. */
export type LeftOutCode = keyof LeftOutValues;

/** Why something is not in a draft: its code, its values, and a plain English sentence made from them. */
export type LeftOutReason<Code extends LeftOutCode = LeftOutCode> = {
  [Each in Code]: { readonly code: Each; readonly text: string } & LeftOutValues[Each];
}[Code];

/** Makes a reason; its text follows from its values. */
export function leftOutFor<Code extends LeftOutCode>(
  code: Code,
  values: LeftOutValues[Code],
): LeftOutReason<Code> {
  const made = { code, text: LEFT_OUT_WORDS[code](values), ...values };
  // The compiler cannot see that a union over codes is met one code at a time.
  return made as unknown as LeftOutReason<Code>;
}

const LENGTHS = ALGORITHMS.map(
  (name) => `${ALGORITHM_NAMES[name]} has ${DIGEST_LENGTH[name]}`,
).join(', ');

const WHY_NOT_HELD = {
  absolute: ', as it starts at the top of a disk',
  outside: ', as it leads out of the folder',
  backslash: ', as it holds a backslash',
  'not-utf8': ', as it is not UTF-8; save the list as UTF-8',
} as const;

const WHOLE = 'it can be drafted as a whole file.';

/** The sentence for each. Nothing is escaped here, and no command or option is named. */
const LEFT_OUT_WORDS: { readonly [Code in LeftOutCode]: (values: LeftOutValues[Code]) => string } =
  {
    'no-name': ({ of }) => `The ${of} names no file.`,
    'unclear-name': () =>
      'Which words are the file\u2019s name cannot be told; put the name in "quotes".',
    'folder-name': () => 'The name is that of a folder.',
    'name-not-held': ({ why }) =>
      `A manifest cannot hold this name${why === null ? '' : WHY_NOT_HELD[why]}.`,
    'bad-escape': () => 'The name has an escape other than \\\\, \\n and \\r.',
    'no-checksum': ({ of }) =>
      of === 'row' ? 'The row gives no checksum.' : 'There is no checksum in it.',
    'name-or-checksum': () => 'Which of the two is the name and which the CRC-32 cannot be told.',
    'checksum-or-size': ({ numbers: [first, second] }) =>
      `"${first}" and "${second}" may each be the CRC-32 or the size; write "crc32" in front of the one.`,
    'two-checksums': ({ algorithm, of }) =>
      `There are two ${ALGORITHM_NAMES[algorithm]} checksums; give each dump a ${of} of its own.`,
    'other-algorithm': ({ algorithm }) => `A ${algorithm} checksum is nothing a manifest can hold.`,
    'wrong-length': ({ digits, shown, wanted, zerosLost }) =>
      wanted === null
        ? `"${shown}" has ${digits} hex digits; ${LENGTHS}.`
        : `The ${ALGORITHM_NAMES[wanted]} has ${digits} hex digits, not ${DIGEST_LENGTH[wanted]}${
            zerosLost ? '; a spreadsheet may have dropped zeros in front' : ''
          }.`,
    'no-digits': ({ algorithm }) => `No ${ALGORITHM_NAMES[algorithm]} of hex digits follows.`,
    'not-a-checksum': ({ cell, column }) =>
      `"${cell}" ${column === null ? '' : `in the column ${column} `}is no checksum.`,
    'long-line': ({ limit }) => `The line is longer than ${limit} characters.`,
    'cell-count': ({ cells, columns }) => `The row has ${cells} cells, the header ${columns}.`,
    'open-quote': () => 'A quote in it is not closed as it should be.',
    'no-array': () => 'There is no array of files in it.',
    'no-header': () => 'No array before it names the columns.',
    'no-row': () => 'This is no object, array or text.',
    'unknown-keys': () => 'Its keys name no file, or no checksum.',
    'no-list': () =>
      'Too many lines cannot be used: this is no list, and the rest of it is not read.',
    link: () => 'This is a link; what it leads to is drafted where it lies.',
    'not-a-file': ({ kind }) => `This is not a file (${kind}).`,
    'file-name-not-held': () =>
      'A manifest cannot hold this name; rename the file, and draft again.',
    empty: () => 'The file is empty, so there is nothing to check it by.',
    unreadable: ({ reason }) => sentence(reason),
    'zip-without-files': () => `There is no file in this ZIP; ${WHOLE}`,
    'zip-same-names': () => `Two members of this ZIP have one name; ${WHOLE}`,
    'zip-name-not-held': () => `A manifest cannot hold the name of one of its members; ${WHOLE}`,
    'zip-too-large': ({ limit }) =>
      `Its members take more than ${String(limit / 1024 ** 3)} GiB; ${WHOLE}`,
    'zip-member-unreadable': ({ member, reason }) =>
      `Its member ${member} cannot be read (${reason}); ${WHOLE}`,
    'zip-empty-members': () => `All members of this ZIP are empty; ${WHOLE}`,
    'judged-whole': () => 'The manifest judges this ZIP as a whole; draft it as a whole, too.',
    'judged-by-members': () =>
      'The manifest judges this ZIP by its members, and a list or file is of the whole ZIP.',
    'other-members': () => 'Its members are not those that the manifest wants in this ZIP.',
    'other-content': () =>
      'Another source has this path with other content; draft them one by one.',
    'case-clash': ({ other }) =>
      `It differs from "${other}" in letter case only, and a manifest cannot hold both.`,
    'is-folder': ({ other }) => `"${other}" needs a folder of this name.`,
    'in-file': ({ other }) => `"${other}" is a file, so it cannot hold another.`,
  };
