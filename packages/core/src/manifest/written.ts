import type { Algorithm } from '../bytes/digests.js';
import type { SourceText, Spot } from './parse/source-text.js';

/**
 * What the sound parts of the manifests say, with places. Parts that are
 * wrong in type are left out, so that the rules can still check the rest.
 */
export interface Located<T> {
  readonly value: T;
  readonly spot: Spot;
}

export interface WrittenDump {
  readonly spot: Spot;
  readonly label: string | null;
  readonly size: Located<number> | null;
  /** As written. */
  readonly digests: readonly (Located<string> & { readonly algorithm: Algorithm })[];
  /** Whether a digest key is there, even one of the wrong type. */
  readonly namesDigest: boolean;
  /** The same for the size. */
  readonly namesSize: boolean;
}

export interface WrittenMember {
  readonly spot: Spot;
  readonly path: Located<string> | null;
  readonly dumps: readonly WrittenDump[];
}

export interface WrittenFirmware {
  readonly file: WrittenFile;
  /** Its spot is the key. */
  readonly id: Located<string>;
  readonly path: Located<string> | null;
  readonly folder: Located<string> | null;
  readonly note: string | null;
  readonly dumps: readonly WrittenDump[];
  readonly members: readonly WrittenMember[] | null;
  /** Spot of the `dumps` key, when there is one. */
  readonly dumpsKey: Spot | null;
  readonly membersKey: Spot | null;
}

export interface WrittenRequirement {
  readonly spot: Spot;
  readonly anyOf: boolean;
  readonly ids: readonly Located<string>[];
}

interface WrittenPictures {
  readonly folder: Located<string> | null;
  readonly extensions: readonly Located<string>[];
}

export interface WrittenFolderCheck {
  readonly path: Located<string> | null;
  readonly atLeast: number | null;
  readonly extensions: readonly Located<string>[];
  readonly pictures: WrittenPictures | null;
}

export interface WrittenSystem {
  readonly file: WrittenFile;
  readonly id: Located<string>;
  readonly name: string | null;
  readonly requires: readonly WrittenRequirement[];
  readonly optional: readonly Located<string>[];
  readonly folders: readonly WrittenFolderCheck[];
}

/** Every id of firmware a system names, required or optional. */
export function firmwareNamedBy(system: WrittenSystem): Located<string>[] {
  return [...system.requires.flatMap(({ ids }) => ids), ...system.optional];
}

export interface WrittenLoadout {
  readonly file: WrittenFile;
  readonly id: Located<string>;
  readonly name: string | null;
  readonly systems: readonly Located<string>[];
  readonly folder: Located<string> | null;
  readonly content: readonly WrittenMove[];
}

/** A content folder that a device keeps elsewhere. */
interface WrittenMove {
  /** As systems name it; its spot is the key. */
  readonly from: Located<string>;
  readonly to: Located<string>;
}

/**
 * How much of a section could be read: all of it; not some key or value in it;
 * or nothing, as its key is misspelt or its value no map. Of what is not there
 * for such a reason nothing can be said.
 */
export type SectionState = 'whole' | 'parts' | 'lost';

export interface Sections {
  readonly firmware: SectionState;
  readonly systems: SectionState;
}

/** One manifest file. */
export interface WrittenFile {
  readonly source: SourceText;
  readonly damaged: boolean;
  readonly sections: Sections;
  readonly title: string | null;
  readonly folder: Located<string> | null;
  readonly case: 'exact' | 'ignore';
  readonly firmware: readonly WrittenFirmware[];
  readonly systems: readonly WrittenSystem[];
  readonly loadouts: readonly WrittenLoadout[];
}
