import type { FaultCode } from '../bytes/source.js';
import type { Algorithm } from '../bytes/digests.js';

/** Where in a manifest something is written. Line and column count from 1; columns in UTF-16 units. */
export interface WrittenAt {
  readonly file: string;
  readonly line: number;
  readonly column: number;
}

/** A value that a manifest gives and the one the file has. Sizes are decimal bytes, digests lower-case hex. */
export interface ComparedValue {
  readonly value: 'size' | Algorithm;
  readonly manifest: string;
  readonly file: string;
}

/** What stands where a folder belongs. */
export type Standing =
  | 'file'
  | 'other'
  | 'link-to-file'
  | 'link-to-folder'
  | 'link-outside'
  | 'link-broken'
  | 'link-forbidden'
  | 'link-failing';

/**
 * What can be said of a file, a ZIP or a folder, by code. Every value is true
 * of the bytes that were read or of what the manifest says; sizes and counts
 * are bytes unless said otherwise. Names come from files and manifests, so
 * that whoever prints them has to escape them.
 */
export interface FactValues {
  /** The path is a link inside the root and was read as the file at `path`. */
  readonly 'read-through-link': { readonly path: string };
  /** It could not be read. */
  readonly unreadable: { readonly fault: FaultCode; readonly reason: string };
  /** What is at `path` could not be listed. */
  readonly unlisted: { readonly path: string; readonly reason: string };
  /** So many more places could not be listed. */
  readonly 'more-unlisted': { readonly count: number };
  /** Something else stands where a folder belongs. */
  readonly 'no-folder': { readonly path: string; readonly standing: Standing };

  /** The manifest gives no digest of it. */
  readonly 'no-digest': object;
  /** Its size is one that the manifest gives, without a digest. */
  readonly 'size-only': { readonly size: number };
  /** No dump has its size. `sizes` ascend. */
  readonly 'wrong-size': { readonly size: number; readonly sizes: readonly number[] };
  /** Its size is that of a dump, its bytes are not. */
  readonly 'wrong-bytes': { readonly size: number };
  /** The manifest gives no size, and the digests are other ones. */
  readonly 'wrong-digests': { readonly size: number };
  /** Some values that the manifest gives of one dump are the file's, and others are not. */
  readonly 'list-slip': {
    readonly dump: string;
    readonly agrees: readonly ComparedValue[];
    readonly differs: readonly ComparedValue[];
    /** Of the dump; null for one that was not read from a manifest file. */
    readonly location: WrittenAt | null;
  };

  readonly empty: object;
  /** Every byte is the same. */
  readonly blank: { readonly size: number; readonly fill: '00' | 'FF' };
  readonly 'web-page': object;
  /** It is shorter than the shortest dump that is longer than it. */
  readonly 'cut-short': { readonly size: number; readonly expected: number };
  /** It begins as a ZIP does, and has no end. */
  readonly 'zip-without-end': object;
  /** After the dump follow so many bytes of one value. */
  readonly padding: { readonly bytes: number; readonly fill: string };
  /** After the dump follow so many bytes. */
  readonly 'bytes-after': { readonly bytes: number };
  /** Before the dump stand so many bytes. */
  readonly 'bytes-before': { readonly bytes: number };
  /** `pairs`: the two bytes of 16-bit words; `words`: all four of 32-bit words; `halves`: their 16-bit halves. */
  readonly swapped: { readonly order: 'pairs' | 'words' | 'halves' };
  /** The dump stands in it so many times in a row. */
  readonly repeated: { readonly times: number };
  /** The halves of the dump are mixed byte by byte, or its even and odd bytes stand apart. */
  readonly interleaved: { readonly as: 'mixed' | 'parted'; readonly secondFirst: boolean };
  /** Line endings were changed, from what they are in the dump to what they are in the file. */
  readonly 'newlines-changed': { readonly from: Newline; readonly to: Newline };
  /** It is a gzip file. */
  readonly 'in-gzip': object;
  /** It is a ZIP, and what counts is this member of it. */
  readonly 'in-zip': { readonly member: string };
  /** A fact about what a ZIP or gzip file holds. */
  readonly content: { readonly fact: Fact };
  /** A fact about one member of a ZIP. */
  readonly 'of-member': { readonly member: string; readonly fact: Fact };
  /** It is, as it stands, another entry's dump (null: by its members, or the dump has no name of its own). */
  readonly 'other-firmware': { readonly firmware: string; readonly dump: string | null };
  /** It has the bytes of a member that the firmware wants in a ZIP. */
  readonly 'loose-member': { readonly firmware: string; readonly member: string };
  /** It cannot be read as a ZIP. */
  readonly 'not-a-zip': { readonly reason: string };
  /** ZIPs are not opened in this place. */
  readonly 'zip-not-opened': object;
  /** The ZIP has no such member; `near` differs from it in letter case or folder. */
  readonly 'member-missing': { readonly member: string; readonly near: string | null };
  /** A member has the right name and a size that no dump of it has; it was not read. */
  readonly 'member-size': {
    readonly member: string;
    readonly size: number;
    readonly sizes: readonly number[];
  };
  /** A member was read and has other bytes than any dump of it. */
  readonly 'member-bytes': { readonly member: string };
  /** A member could not be read. */
  readonly 'member-unreadable': {
    readonly member: string;
    readonly encrypted: boolean;
    readonly reason: string;
  };
  /** A member's bytes are those of another member. */
  readonly 'member-of-other-name': { readonly member: string; readonly is: string };
  /** A member's size is one that the manifest gives, without a digest. */
  readonly 'member-size-only': { readonly member: string; readonly size: number };
  /** A member has a size that a dump of it may have, and was not read. */
  readonly 'member-not-read': { readonly member: string };
  /** Members that the manifest does not list; `more` of them are not named. */
  readonly 'extra-members': { readonly members: readonly string[]; readonly more: number };

  /** It is larger than `limit`, so that damage was looked for in its size and first bytes only. */
  readonly 'examined-in-part': { readonly limit: number };
  /** Not everything was tried, to keep the time bounded. */
  readonly 'bounds-reached': object;
  /** So many things inside it were not looked at, and why. */
  readonly 'not-looked-at': {
    readonly count: number;
    readonly why: 'too-deep' | 'too-large' | 'too-many' | 'too-much';
  };
  /** What was met of a firmware that is lacking; `source` is null for the root itself. */
  readonly 'met-instead': {
    readonly firmware: string;
    readonly source: string | null;
    readonly path: string;
    readonly fact: Fact;
  };
  /** It has an entry's name, and the manifest gives nothing to tell its bytes by. */
  readonly 'name-only': { readonly firmware: string };
}

type Newline = 'LF' | 'CR LF' | 'CR';

/** Stable codes of facts. */
export type FactCode = keyof FactValues;

/** One thing that is so: its code, its values, and a plain English sentence made from them. */
export type Fact<Code extends FactCode = FactCode> = {
  [Each in Code]: { readonly code: Each; readonly text: string } & FactValues[Each];
}[Code];
