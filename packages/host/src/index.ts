export { checkSums } from './digest/check-sums.js';
export {
  digestFiles,
  type DigestFilesOptions,
  type DigestTaskOptions,
} from './digest/digest-files.js';
export type { DigesterOptions } from './digest/digester.js';
export { draftManifest, type DraftManifestOptions } from './draft/draft-manifest.js';
export { nodePlatform, type HostManifestOptions, type HostTaskOptions } from './platform.js';
export { findManifest } from './folder/find-manifest.js';
export type { HostFiles } from './folder/named-files.js';
export { openFolder, type HostFolder, type OpenFolderOptions } from './folder/open-folder.js';
export type { StepResult } from './place/apply-plan.js';
export type { CardFile, CardFs, CardSpace, CardStat } from './place/card-fs.js';
export type { LeftoverResult } from './place/clear-leftovers.js';
export { PlaceStopped, StepFailure, type StopCode } from './place/place-error.js';
export {
  openPlacement,
  type Applied,
  type ApplyOptions,
  type Placement,
  type PlacementOptions,
} from './place/placement.js';
export { auditFolder, type AuditFolderOptions } from './audit/audit-folder.js';
export { identifyFiles } from './identify/identify-files.js';
