import type { ComparedValue, Fact, FactCode, FactValues, Standing } from './fact-values.js';
import { sentence } from '../text/sentence.js';
import { bytes, listed, quoted, stopped, valueName } from './phrases.js';

/** The sentence for each fact. Nothing is escaped here, and no command or option is named. */
const FACT_WORDS: {
  readonly [Code in FactCode]: (values: FactValues[Code]) => string;
} = {
  'read-through-link': ({ path }) => `A link, read as ${path}.`,
  unreadable: ({ reason }) => sentence(reason),
  unlisted: ({ path, reason }) => `${path} could not be listed: ${stopped(reason)}`,
  'more-unlisted': ({ count }) => `${String(count)} more could not be listed.`,
  'no-folder': ({ path, standing }) => `${path} is ${STANDING_WORDS[standing]}.`,

  'no-digest': () => 'The manifest gives no digest of it, so its bytes were not checked.',
  'size-only': ({ size }) =>
    `It has the ${bytes(size)} that the manifest gives; without a digest its bytes cannot be checked.`,
  'wrong-size': ({ size, sizes }) =>
    `It has ${bytes(size)}; expected: ${listed(sizes.map(String), 'or')}.`,
  'wrong-bytes': ({ size }) => `It has the right size, ${bytes(size)}, but not the bytes.`,
  'wrong-digests': ({ size }) => `Its ${bytes(size)} are not those of a dump.`,
  'list-slip': ({ dump, agrees, differs, location }) => {
    const where = location === null ? '' : ` (${location.file}:${String(location.line)})`;
    const equal = listed(
      agrees.map(({ value }) => valueName(value)),
      'and',
    );
    const other = listed(differs.map(bothValues), 'and');
    const are = agrees.length === 1 ? 'is' : 'are';
    return `Of what the manifest gives for dump ${quoted(dump)}${where}, ${equal} ${are} this file's, but not ${other}.`;
  },

  empty: () => 'The file is empty.',
  blank: ({ size, fill }) =>
    size === 1 ? `Its only byte is ${fill}.` : `Every one of its ${bytes(size)} is ${fill}.`,
  'web-page': () => 'The file is a web page, not a dump.',
  'cut-short': ({ size, expected }) => `The file has ${String(size)} of ${bytes(expected)}.`,
  'zip-without-end': () => 'The ZIP has no end: the rest of it is missing.',
  padding: ({ bytes: count, fill }) =>
    `After the dump ${bytes(count)} of padding (${fill}) ${count === 1 ? 'follows' : 'follow'}.`,
  'bytes-after': ({ bytes: count }) =>
    `After the dump ${bytes(count)} ${count === 1 ? 'follows' : 'follow'} that ${count === 1 ? 'does' : 'do'} not belong to it.`,
  'bytes-before': ({ bytes: count }) =>
    `${bytes(count)} ${count === 1 ? 'stands' : 'stand'} before the dump.`,
  swapped: ({ order }) => SWAPPED_WORDS[order],
  repeated: ({ times }) =>
    `The file holds the dump ${times === 2 ? 'twice' : `${String(times)} times`} in a row.`,
  interleaved: ({ as, secondFirst }) =>
    as === 'mixed'
      ? `The two halves of the dump are mixed, byte by byte${secondFirst ? ', the second half first' : ''}.`
      : `The even and the odd bytes of the dump stand in separate halves${secondFirst ? ', the odd ones first' : ''}.`,
  'newlines-changed': ({ from, to }) => `A transfer as text turned every ${from} into ${to}.`,
  'in-gzip': () => 'The file is a gzip file; what counts is inside.',
  'in-zip': ({ member }) => `The file is a ZIP; what counts is its member ${quoted(member)}.`,
  content: ({ fact }) => `Of what is inside: ${fact.text}`,
  'of-member': ({ member, fact }) => `Member ${quoted(member)}: ${fact.text}`,
  'other-firmware': ({ firmware, dump }) =>
    `These are the bytes of ${firmware}${dump === null ? '' : ` (${dump})`}.`,
  'loose-member': ({ firmware, member }) =>
    `These are the bytes of the member ${quoted(member)} of ${firmware}, outside its ZIP.`,
  'not-a-zip': ({ reason }) => sentence(reason),
  'zip-not-opened': () => 'ZIP files cannot be opened here.',
  'member-missing': ({ member, near }) =>
    `Member ${quoted(member)} is not in the ZIP${near === null ? '' : `; ${quoted(near)} is`}.`,
  'member-size': ({ member, size, sizes }) =>
    `Member ${quoted(member)} has ${bytes(size)}; expected: ${listed(sizes.map(String), 'or')}.`,
  'member-bytes': ({ member }) => `Member ${quoted(member)} has other bytes than any dump of it.`,
  'member-unreadable': ({ member, encrypted, reason }) =>
    encrypted
      ? `Member ${quoted(member)} cannot be read without a password.`
      : `Member ${quoted(member)} cannot be read: ${stopped(reason)}`,
  'member-of-other-name': ({ member, is }) =>
    `Member ${quoted(member)} has the bytes of ${quoted(is)}.`,
  'member-size-only': ({ member, size }) =>
    `Member ${quoted(member)} has the ${bytes(size)} that the manifest gives; without a digest its bytes cannot be checked.`,
  'member-not-read': ({ member }) =>
    `Member ${quoted(member)} was not read, to keep the time and memory bounded.`,
  'extra-members': ({ members, more }) =>
    `Extra members: ${members.join(', ')}${more > 0 ? ` and ${String(more)} more` : ''}.`,

  'examined-in-part': ({ limit }) =>
    `The file has over ${bytes(limit)}, so damage was looked for in its size and first bytes only.`,
  'bounds-reached': () => 'Not everything was tried: the bounds on time were reached.',
  'not-looked-at': ({ count, why }) => {
    const what = count === 1 ? '1 file in it was' : `${String(count)} files in it were`;
    return `${what} not ${NOT_LOOKED_AT_WORDS[why]}.`;
  },
  'met-instead': ({ firmware, source, path, fact }) =>
    `${placeOf(source, path)}, in place of ${firmware}: ${fact.text}`,
  'name-only': ({ firmware }) =>
    `It has the name of ${firmware}, of which the manifest gives no digest to tell by.`,
};

/** Makes a fact; its text follows from its values. */
export function fact<Code extends FactCode>(code: Code, values: FactValues[Code]): Fact<Code> {
  const made = { code, text: FACT_WORDS[code](values), ...values };
  // The compiler cannot see that a union over codes is met one code at a time.
  return made as unknown as Fact<Code>;
}

/** A path in a source; the source itself may be the file. */
export function placeOf(source: string | null, path: string): string {
  if (source === null) return path;
  return path === '' ? source : `${source}/${path}`;
}

const STANDING_WORDS: Readonly<Record<Standing, string>> = {
  file: 'a file where a folder belongs',
  other: 'not a folder, as it should be',
  'link-to-file': 'a link to a file where a folder belongs',
  'link-to-folder': 'a link to a folder; links to folders are not followed',
  'link-outside': 'a link out of the audited folder; such links are not followed',
  'link-broken': 'a link that leads nowhere',
  'link-forbidden': 'a link; there is no permission to follow it',
  'link-failing': 'a link that the system failed to follow',
};

const SWAPPED_WORDS: Readonly<Record<FactValues['swapped']['order'], string>> = {
  pairs: 'The two bytes of every 16-bit word are exchanged.',
  words: 'The four bytes of every 32-bit word are in reverse order.',
  halves: 'The two 16-bit halves of every 32-bit word are exchanged.',
};

const NOT_LOOKED_AT_WORDS: Readonly<Record<FactValues['not-looked-at']['why'], string>> = {
  // Its own bytes were read, and damage may have been undone on them.
  'too-deep': 'searched: ZIP and gzip files are searched two levels deep',
  'too-large': 'looked at: it is too large to be opened in memory',
  'too-many': 'looked at: there are too many',
  'too-much': 'looked at: there is too much to inflate',
};

/** `the size (9 in the manifest, 8 in the file)`. */
function bothValues({ value, manifest, file }: ComparedValue): string {
  return `${valueName(value)} (${manifest} in the manifest, ${file} in the file)`;
}
