import { resolve } from 'node:path';
import {
  FirmtallyError,
  selectSystems,
  type Manifest,
  type OnProgress,
  type Report,
} from '@firmtally/core';
import { auditWithInventory } from '@firmtally/core/internal';
import { zipReader } from '../archive/zip-reader.js';
import { createDigester, defaultJobs } from '../digest/digester.js';
import { nativeDigestStream } from '../digest/native-digests.js';
import { openFolder } from '../folder/open-folder.js';
import { withSlashes } from '../folder/with-slashes.js';
import type { EarlierAudit } from './earlier-report.js';
import { readManifestFiles } from './manifest-files.js';

export interface AuditFolderOptions {
  /** Paths of manifest files, or a manifest that was read already. */
  readonly manifests: readonly string[] | Manifest;
  /** Ids of systems; all of them when neither these nor a loadout are given. */
  readonly systems?: readonly string[];
  /** Id of a loadout. */
  readonly loadout?: string;
  /** Looks for misplaced firmware in every file, whatever its name and size. */
  readonly wide?: boolean;
  /** Lists files beside the expected ones that nothing accounts for. */
  readonly strays?: boolean;
  /** A system that would be `unproven` is `not-ready`. */
  readonly strict?: boolean;
  /** An earlier report to compare with: the path of its JSON, or what was read of it. */
  readonly since?: string | EarlierAudit;
  /** Threads that hash; as many as the machine suggests when not given. */
  readonly jobs?: number;
  /** What paths are relative to; the process's current folder when not given. */
  readonly cwd?: string;
  /** Stops the audit, which then rejects with the signal's reason. */
  readonly signal?: AbortSignal;
  /** Told how far it is. What it throws, the audit rejects with. */
  readonly onProgress?: OnProgress;
}

/**
 * Audits a folder of this machine against manifests: the whole task. One bad
 * file never ends it; what cannot be read is a fault in the report.
 *
 * @param root absolute, or relative to `cwd`; the report names it as it is given
 * @throws FirmtallyError `root-unreadable`, `manifest-unreadable`, `manifest-invalid` (also where nothing is
 *   selected), `unknown-system`, `unknown-loadout`, `report-invalid`; the signal's reason
 * @example
 * const report = await auditFolder('/media/card', { manifests: ['tern.yaml'], loadout: 'pocket' });
 */
export async function auditFolder(root: string, options: AuditFolderOptions): Promise<Report> {
  const { signal, cwd = process.cwd(), loadout, systems, since } = options;
  signal?.throwIfAborted();
  const earlier = since === undefined ? undefined : await earlierAudit(since, cwd);
  const manifest = await manifestOf(options.manifests, cwd);
  const selection = selectSystems(manifest, {
    ...(systems === undefined ? {} : { systems }),
    loadout: loadout ?? null,
  });
  if (selection.systems.length === 0) throw nothingSelected(manifest, loadout);
  const folder = await openFolder(resolve(cwd, root));
  const jobs = options.jobs ?? defaultJobs();
  const digester = createDigester(folder, { jobs });
  try {
    const result = await auditWithInventory({
      root: withSlashes(root),
      ...(folder.confinedTo === null ? {} : { rootPath: withSlashes(folder.confinedTo) }),
      manifest,
      selection,
      folder,
      digester,
      archives: zipReader,
      digestStream: nativeDigestStream,
      wide: options.wide ?? false,
      strays: options.strays ?? false,
      strict: options.strict ?? false,
      // One file waits for each that is being hashed, so that no thread does.
      jobs: 2 * jobs,
      ...(signal === undefined ? {} : { signal }),
      ...(options.onProgress === undefined ? {} : { onProgress: options.onProgress }),
    });
    if (earlier === undefined) return result.report;
    const { withComparison } = await import('./earlier-report.js');
    return await withComparison(result, earlier);
  } finally {
    await digester.close();
  }
}

/** Loaded when it is wanted: the validator of reports is large. */
async function earlierAudit(since: string | EarlierAudit, cwd: string): Promise<EarlierAudit> {
  if (typeof since !== 'string') return since;
  const { readEarlierReport } = await import('./earlier-report.js');
  return readEarlierReport(resolve(cwd, since), since);
}

function manifestOf(given: readonly string[] | Manifest, cwd: string): Promise<Manifest> {
  return 'firmware' in given ? Promise.resolve(given) : readManifestFiles(given, cwd);
}

/** A run that checks nothing must not look like one where all is well. */
function nothingSelected({ sources }: Manifest, loadout: string | undefined): FirmtallyError {
  return loadout === undefined
    ? new FirmtallyError(
        'manifest-invalid',
        `${sources.map(({ path }) => path).join(', ')}: no systems, so there is nothing to audit`,
        'Add a `systems:` section that says which firmware each system requires.',
      )
    : new FirmtallyError(
        'manifest-invalid',
        `the loadout "${loadout}" has no systems, so there is nothing to audit`,
        'Name systems in it, or choose another.',
      );
}
