export { checkSums } from './digest/check-sums.js';
export {
  digestFiles,
  type DigestFilesOptions,
  type DigestTaskOptions,
} from './digest/digest-files.js';
export { createDigester, type DigesterOptions, type HostDigester } from './digest/digester.js';
export { nativeEngine } from './digest/native-engine.js';
export {
  draftManifest,
  type DraftedManifest,
  type DraftManifestOptions,
} from './draft/draft-manifest.js';
export { zipReader } from './archive/zip-reader.js';
export { findManifest } from './folder/find-manifest.js';
export { openFolder, type HostFiles, type HostFolder } from './folder/open-folder.js';
export type { StepResult } from './place/apply-plan.js';
export type { CardFile, CardFs, CardSpace, CardStat } from './place/card-fs.js';
export type { LeftoverResult } from './place/clear-leftovers.js';
export { PlaceStopped, StepFailure, type StopCode } from './place/place-error.js';
export {
  openPlacement,
  type Applied,
  type ApplyOptions,
  type LookOptions,
  type Outlook,
  type PlacedFault,
  type Placement,
  type PlacementOptions,
} from './place/placement.js';
export { auditFolder, type AuditFolderOptions } from './audit/audit-folder.js';
export type { EarlierAudit } from './audit/earlier-report.js';
export { identifyFiles, type IdentifyFilesOptions } from './identify/identify-files.js';
