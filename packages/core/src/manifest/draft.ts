import type { Algorithm } from '../digest/engine.js';
import type { SourceText, Spot } from './parse/source-text.js';

/**
 * What the sound parts of the manifests say, with places. Parts that are
 * wrong in type are left out, so that the rules can still check the rest.
 */
export interface Located<T> {
  readonly value: T;
  readonly spot: Spot;
}

export interface DraftDump {
  readonly spot: Spot;
  readonly label: string | null;
  readonly size: Located<number> | null;
  /** As written. */
  readonly digests: readonly (Located<string> & { readonly algorithm: Algorithm })[];
  /** Whether a digest key is there, even one of the wrong type. */
  readonly namesDigest: boolean;
}

export interface DraftMember {
  readonly spot: Spot;
  readonly path: Located<string> | null;
  readonly dumps: readonly DraftDump[];
}

export interface DraftFirmware {
  readonly file: DraftFile;
  /** Its spot is the key. */
  readonly id: Located<string>;
  readonly path: Located<string> | null;
  readonly folder: Located<string> | null;
  readonly note: string | null;
  readonly dumps: readonly DraftDump[];
  readonly members: readonly DraftMember[] | null;
  /** Spot of the `dumps` key, when there is one. */
  readonly dumpsKey: Spot | null;
  readonly membersKey: Spot | null;
}

export interface DraftRequirement {
  readonly spot: Spot;
  readonly anyOf: boolean;
  readonly ids: readonly Located<string>[];
}

interface DraftPictures {
  readonly folder: Located<string> | null;
  readonly extensions: readonly Located<string>[];
}

export interface DraftFolderCheck {
  readonly path: Located<string> | null;
  readonly atLeast: number | null;
  readonly extensions: readonly Located<string>[];
  readonly pictures: DraftPictures | null;
}

export interface DraftSystem {
  readonly file: DraftFile;
  readonly id: Located<string>;
  readonly name: string | null;
  readonly requires: readonly DraftRequirement[];
  readonly optional: readonly Located<string>[];
  readonly folders: readonly DraftFolderCheck[];
}

/** Every id of firmware a system names, required or optional. */
export function firmwareNamedBy(system: DraftSystem): Located<string>[] {
  return [...system.requires.flatMap(({ ids }) => ids), ...system.optional];
}

export interface DraftLoadout {
  readonly file: DraftFile;
  readonly id: Located<string>;
  readonly name: string | null;
  readonly systems: readonly Located<string>[];
  readonly folder: Located<string> | null;
}

/** One manifest file. */
export interface DraftFile {
  readonly source: SourceText;
  readonly damaged: boolean;
  readonly title: string | null;
  readonly folder: Located<string> | null;
  readonly case: 'exact' | 'ignore';
  readonly firmware: readonly DraftFirmware[];
  readonly systems: readonly DraftSystem[];
  readonly loadouts: readonly DraftLoadout[];
}
