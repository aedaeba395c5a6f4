import type { Digests } from '../bytes/digests.js';
import type { LeftOutReason } from '../facts/left-out.js';
import type { Manifest } from '../manifest/model.js';
import type { Note } from './note.js';

/** One acceptable content. */
export interface DraftedDump {
  /** Null when nothing is known by which to call it. */
  readonly label: string | null;
  /** Bytes; null when not known. */
  readonly size: number | null;
  /** At least one. */
  readonly digests: Digests;
}

/** One file inside a ZIP. */
export interface DraftedMember {
  readonly path: string;
  readonly dumps: readonly DraftedDump[];
}

/** What is known of one file before it is an entry of a manifest. */
export interface FoundFile {
  /** '/'-joined, relative to the folder that is drafted. */
  readonly path: string;
  readonly content: { readonly dump: DraftedDump } | { readonly members: readonly DraftedMember[] };
  /** Files of one key are one system; `name` is as the list or the folder has it. */
  readonly system: { readonly key: string; readonly name: string };
  readonly optional: boolean;
  /** Where it comes from. */
  readonly origin: Origin;
}

/** A line of a list, or a path in a folder. */
export interface Origin {
  /** The list, folder or file as it was given. */
  readonly source: string;
  /** Lines of a list, from 1; null for what is no list. */
  readonly line: number | null;
  readonly endLine: number | null;
  /** What lies there: a path, or how the line starts. */
  readonly text: string;
}

/** One expected file as a firmware entry. */
export interface DraftedFirmware {
  readonly id: string;
  /** Relative to the manifest's folder, or to its own. */
  readonly path: string;
  /** Its own folder, when that is not the manifest's; else null. */
  readonly folder: string | null;
  /** Empty when there are members. */
  readonly dumps: readonly DraftedDump[];
  readonly members: readonly DraftedMember[] | null;
  /** Whether the manifest it is added to has this entry already; then these dumps are what it lacks. */
  readonly known: boolean;
}

/** One system of a draft. */
export interface DraftedSystem {
  readonly id: string;
  readonly name: string;
  /** Firmware ids. */
  readonly requires: readonly string[];
  readonly optional: readonly string[];
  /** Whether the manifest it is added to has this system already. */
  readonly known: boolean;
}

/** Something that is not in the draft, and why. */
export interface LeftOut extends Origin {
  readonly reason: LeftOutReason;
}

/** Something worth knowing of what is in the draft. */
export interface DraftNote extends Origin, Note {}

/** What a draft holds. */
export interface Drafted {
  /** `lists`: every value is the lists' word, and no file was read. */
  readonly from: 'files' | 'lists';
  readonly title: string;
  /** The manifest's folder; null when none was asked for. */
  readonly folder: string | null;
  readonly firmware: readonly DraftedFirmware[];
  readonly systems: readonly DraftedSystem[];
  /** By source, then line or path. */
  readonly leftOut: readonly LeftOut[];
  readonly notes: readonly DraftNote[];
}

/** How files become entries. */
export interface EntryOptions {
  /** The manifest's folder, `.` being the root; default: none is written. */
  readonly folder?: string;
  /** Id of the one system that all files are for; default: by columns, then by folders. */
  readonly system?: string;
  /** The manifest that the entries are added to, and its own folder, '' being the root. */
  readonly into?: { readonly manifest: Manifest; readonly folder: string };
}
