import type { Digests } from '../bytes/digests.js';

/**
 * One acceptable content of a firmware file. Matches when the size (if given)
 * and every digest given are equal; one that gives only a size proves nothing
 * (see {@link isSizeOnly}).
 */
export interface Dump {
  /** As written; `#1`, `#2`, … by position when the manifest gives none. */
  readonly label: string;
  /** Bytes, or null when not given. */
  readonly size: number | null;
  /** Lower-case hex; none only where a size is given. */
  readonly digests: Digests;
  /** Of the whole dump. */
  readonly location: SourceLocation;
}

/** One file wanted inside a ZIP. */
export interface Member {
  readonly path: string;
  /** Never empty. */
  readonly dumps: readonly Dump[];
}

/** Where something was written. Lines and columns count from 1; columns in UTF-16 units. */
export interface SourceLocation {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  readonly endLine: number;
  readonly endColumn: number;
}

/** One expected file. */
export interface Firmware {
  readonly id: string;
  /** As written, relative to the folder. */
  readonly path: string;
  /** The entry's own `folder` if given, else null: then a loadout's folder, else `defaultFolder` applies. */
  readonly folder: string | null;
  /** The manifest's `folder`; '' is the root. */
  readonly defaultFolder: string;
  readonly case: 'exact' | 'ignore';
  readonly note: string | null;
  /** Empty: presence only. Always empty when `members` is set. */
  readonly dumps: readonly Dump[];
  readonly members: readonly Member[] | null;
  readonly location: SourceLocation;
}

/** Whether an entry says nothing of the bytes. */
export function isPresenceOnly(firmware: Pick<Firmware, 'dumps' | 'members'>): boolean {
  return firmware.dumps.length === 0 && firmware.members === null;
}

/** Whether a dump gives a size and no digest: a file of that size may be the dump, one of another size is not. */
export function isSizeOnly(dump: Pick<Dump, 'digests'>): boolean {
  return Object.keys(dump.digests).length === 0;
}

/** What a system requires: one firmware, or any one of several; ids of firmware. */
export type Requirement = { readonly firmware: string } | { readonly anyOf: readonly string[] };

/** Pictures that belong to the files of a folder; they never lower readiness. */
export interface PictureCheck {
  readonly folder: string;
  /** Lower-case, without the dot. */
  readonly extensions: readonly string[];
}

/** "This folder should hold at least n files with these extensions." */
export interface FolderCheck {
  readonly path: string;
  readonly atLeast: number;
  /** Lower-case, without the dot; empty means any file. */
  readonly extensions: readonly string[];
  readonly pictures: PictureCheck | null;
}

/** What a person wants ready. */
export interface System {
  readonly id: string;
  readonly name: string;
  readonly requires: readonly Requirement[];
  readonly optional: readonly string[];
  readonly folders: readonly FolderCheck[];
  readonly case: 'exact' | 'ignore';
  readonly location: SourceLocation;
}

/** A named list of systems for one device or card. */
export interface Loadout {
  readonly id: string;
  readonly name: string | null;
  readonly systems: readonly string[];
  /** Replaces the manifest's default folder; null keeps it. */
  readonly folder: string | null;
  /**
   * Folders that hold content elsewhere on this device: a folder as systems
   * name it -> this device's; '' is the root. Folders below it move along.
   */
  readonly content: ReadonlyMap<string, string>;
  readonly location: SourceLocation;
}

/** One manifest file that went into a {@link Manifest}. */
export interface ManifestSource {
  readonly path: string;
  /** Of the file's bytes, lower-case hex. */
  readonly sha256: string;
  readonly title: string | null;
}

/** Everything several manifest files say together, without errors. Maps are in id order. */
export interface Manifest {
  readonly sources: readonly ManifestSource[];
  readonly firmware: ReadonlyMap<string, Firmware>;
  readonly systems: ReadonlyMap<string, System>;
  readonly loadouts: ReadonlyMap<string, Loadout>;
}
