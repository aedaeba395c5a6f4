/** What the fuzzer knows a manifest to say, as it was made. */
export type Algorithm = 'crc32' | 'md5' | 'sha1' | 'sha256';
export type Digests = Partial<Record<Algorithm, string>>;

export interface DumpModel {
  readonly label: string | null;
  readonly size: number | null;
  /** Lower-case hex. */
  readonly digests: Digests;
}

export interface MemberModel {
  readonly path: string;
  readonly dumps: readonly DumpModel[];
}

export interface FirmwareModel {
  readonly id: string;
  readonly path: string;
  readonly folder: string | null;
  readonly dumps: readonly DumpModel[];
  readonly members: readonly MemberModel[] | null;
}

export type RequirementModel = string | readonly string[];

export interface FolderModel {
  readonly path: string;
  readonly atLeast: number | null;
  readonly extensions: readonly string[];
}

export interface SystemModel {
  readonly id: string;
  readonly requires: readonly RequirementModel[];
  readonly optional: readonly string[];
  readonly folders: readonly FolderModel[];
}

export interface ManifestModel {
  readonly folder: string | null;
  readonly ignoreCase: boolean;
  readonly firmware: readonly FirmwareModel[];
  readonly systems: readonly SystemModel[];
}

/** Where an entry belongs under the root; '.' and null are the root itself. */
export function expectedPath(folder: string | null, path: string): string {
  return folder === null || folder === '.' ? path : `${folder}/${path}`;
}
