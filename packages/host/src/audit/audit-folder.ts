import { resolve } from 'node:path';
import {
  audit,
  type AuditOptions,
  type EarlierAudit,
  type Report,
  type SelectionRequest,
} from '@firmtally/core';
import { defaultJobs } from '../digest/digester.js';
import { openFolder } from '../folder/open-folder.js';
import { withSlashes } from '../folder/with-slashes.js';
import { nodePlatform, type HostManifestOptions } from '../platform.js';
import { manifestFiles } from './manifest-files.js';

/** What {@link auditFolder} holds the folder against, how far it looks, and what it compares with. */
export interface AuditFolderOptions
  extends HostManifestOptions, SelectionRequest, Pick<AuditOptions, 'wide' | 'strays' | 'strict'> {
  /** An earlier report to compare with: the path of its JSON, or what was read of it. */
  readonly since?: string | EarlierAudit | undefined;
}

/**
 * Audits a folder of this machine against manifests: the whole task. One bad
 * file never ends it; what cannot be read is a fault in the report.
 *
 * @param root absolute, or relative to `cwd`; the report names it as it is given
 * @throws FirmtallyError `root-unreadable`, `manifest-unreadable`, `manifest-invalid` (also where nothing is
 *   selected), `unknown-system`, `unknown-loadout`, `report-invalid`; the signal's reason; what a callback throws
 * @example
 * const report = await auditFolder('card', { manifests: ['tern.yaml'], loadout: 'pocket' });
 * report.systems.map(({ readiness }) => readiness); // => ['ready']
 */
export async function auditFolder(root: string, options: AuditFolderOptions): Promise<Report> {
  const { signal, onNotice, cwd = process.cwd(), since, jobs = defaultJobs() } = options;
  signal?.throwIfAborted();
  const earlier = since === undefined ? undefined : await earlierAudit(since, cwd);
  const manifests = await manifestFiles(options.manifests, cwd);
  const folder = await openFolder(root, { jobs, onNotice, cwd });
  try {
    return await audit(folder, {
      ...options,
      platform: nodePlatform,
      root: withSlashes(root),
      rootPath: withSlashes(folder.confinedTo),
      manifests,
      since: earlier,
      // One file waits for each that is being hashed, so that no thread does.
      jobs: 2 * jobs,
    });
  } finally {
    await folder.close();
  }
}

/** Loaded when it is wanted: the validator of reports is large. */
async function earlierAudit(since: string | EarlierAudit, cwd: string): Promise<EarlierAudit> {
  if (typeof since !== 'string') return since;
  const { readEarlierReport } = await import('./earlier-report.js');
  return readEarlierReport(resolve(cwd, since), since);
}
