import type { ArchiveReader, Manifest, Platform, TaskOptions } from '@firmtally/core';
import { zipReader } from './archive/zip-reader.js';
import { nativeEngine } from './digest/native-engine.js';
import type { OpenFolderOptions } from './folder/open-folder.js';

/** What Node.js brings along for every task: its own hashes, and a reader of ZIPs. */
export const nodePlatform: Platform & { readonly archives: ArchiveReader } = {
  engine: nativeEngine,
  archives: zipReader,
};

/** Given to every task on files of this machine. */
export interface HostTaskOptions extends TaskOptions, Omit<OpenFolderOptions, 'engine'> {}

/** Given to every task that holds files of this machine against manifests. */
export interface HostManifestOptions extends HostTaskOptions {
  /** Paths of manifest files, which are read and merged, or a manifest that was read already. */
  readonly manifests: readonly string[] | Manifest;
}
