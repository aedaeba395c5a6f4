import { ProgressCount } from './bytes/progress.js';
import { entryAccess } from './bytes/entry-content.js';
import { ReadError, type FolderSource } from './bytes/source.js';
import type { StreamDigests } from './bytes/digests.js';
import type { Diagnosis } from './diagnose/diagnosis.js';
import { checkedFolder, checkedPlatform } from './digest/checked.js';
import type { Platform } from './digest/engine.js';
import { naming } from './digest/platform-failure.js';
import { buildListing } from './inventory/build-inventory.js';
import type { Listing } from './inventory/inventory.js';
import { FaultLog } from './judge/fault-log.js';
import { hintsFor } from './judge/hints.js';
import { judgeFirmware } from './judge/judge-firmware.js';
import { judgeReadiness } from './judge/readiness.js';
import type { FirmwareVerdict } from './judge/verdict.js';
import { manifestOf, type ManifestTaskOptions } from './manifest/manifest-of.js';
import type { Manifest } from './manifest/model.js';
import { selectSome } from './manifest/select-systems.js';
import type { SelectionRequest } from './manifest/selection.js';
import { KnownDumps } from './recognise/known-dumps.js';
import { buildReport } from './report/build-report.js';
import type { EarlierReport } from './report/compare.js';
import type { Report } from './report/model.js';
import { TOOL } from './version.js';

/** What {@link audit} holds the folder against, how far it looks, and how strict it is. */
export interface AuditOptions extends ManifestTaskOptions, SelectionRequest {
  /** What the report calls the root, with '/' separators; `.` when not given. */
  readonly root?: string | undefined;
  /** Where the root really is, for telling that it is a folder too deep; '/'-joined; unknown when not given. */
  readonly rootPath?: string | undefined;
  /** Looks for misplaced firmware in every file, whatever its name and size. */
  readonly wide?: boolean | undefined;
  /** Lists files beside the expected ones that nothing accounts for. */
  readonly strays?: boolean | undefined;
  /** A system that would be `unproven` is `not-ready`. */
  readonly strict?: boolean | undefined;
  /** An earlier report to compare with. */
  readonly since?: EarlierAudit | undefined;
  /** Written into the report; this library's own name and version when not given. */
  readonly tool?: { readonly name: string; readonly version: string } | undefined;
}

/** A report that an earlier audit made. */
export interface EarlierAudit {
  readonly report: EarlierReport;
  /** When it was made, in ms since the Unix epoch; null when nobody knows: then no file counts as untouched since. */
  readonly written: number | null;
}

/**
 * Audits a folder against manifests: the whole task. One bad file never ends
 * it: what cannot be read is a fault in the report.
 *
 * @throws FirmtallyError `manifest-invalid` (also where nothing is selected), `unknown-system`, `unknown-loadout`,
 *   `source-invalid`, `engine-invalid`, `archives-invalid`; what `folder.list` throws when the root itself cannot
 *   be listed; the signal's reason; what a callback throws
 * @example
 * const platform = { engine: hashWasmEngine, archives: null };
 * const manifests = [{ path: 'tern.yaml', bytes }];
 * const report = await audit(card, { manifests, platform });
 * report.systems.map(({ id, readiness }) => `${id}: ${readiness}`);
 * // => ['osprey: ready', 'osprey-printer: not-ready']
 */
export async function audit(folder: FolderSource, options: AuditOptions): Promise<Report> {
  const { signal } = options;
  signal?.throwIfAborted();
  const platform = checkedPlatform(options.platform, signal);
  const manifest = await manifestOf(options.manifests, platform.engine);
  const selection = selectSome(manifest, options);
  const count = new ProgressCount(options.onProgress);
  const reading: Reading = { folder: checkedFolder(folder, signal), platform, signal };
  count.start('list');
  const inventory = await buildListing(reading.folder, { signal, count });
  count.start('read');
  const judgement = await judgeFirmware({
    ...reading,
    expected: selection.firmware,
    inventory,
    wide: options.wide,
    jobs: options.jobs,
    count,
  });
  const { verdicts } = judgement;
  const faults = new FaultLog([...inventory.faults, ...judgement.faults]);
  const diagnoses = await diagnoseMismatches(manifest, verdicts, inventory, reading, faults, count);
  const report = buildReport({
    tool: options.tool ?? TOOL,
    root: options.root ?? '.',
    manifest,
    selection,
    verdicts,
    systems: judgeReadiness(selection, verdicts, inventory, options),
    diagnoses,
    hints: hintsFor({ manifest, selection, inventory, rootPath: options.rootPath ?? null }),
    faults: faults.sorted(),
    strays: options.strays === true ? await inventory.sizes({ signal }) : null,
  });
  const { since } = options;
  return since === undefined ? report : withComparison(report, inventory, since);
}

interface Reading {
  readonly folder: FolderSource;
  readonly platform: Platform;
  readonly signal: AbortSignal | undefined;
}

/** One after another: each may hold a whole file in memory. */
async function diagnoseMismatches(
  manifest: Manifest,
  verdicts: readonly FirmwareVerdict[],
  inventory: Listing,
  { folder, platform, signal }: Reading,
  faults: FaultLog,
  count: ProgressCount,
): Promise<ReadonlyMap<string, Diagnosis>> {
  const found = new Map<string, Diagnosis>();
  const mismatches = verdicts.filter(({ verdict }) => verdict === 'mismatch');
  if (mismatches.length === 0) return found;
  // Loaded only when something is wrong.
  const { diagnoseFile } = await import('./diagnose/diagnose-file.js');
  const known = new KnownDumps(manifest.firmware.values());
  count.start('diagnose', { files: mismatches.length });
  for (const verdict of mismatches) {
    signal?.throwIfAborted();
    const { judged } = verdict;
    const item = judged === null ? undefined : inventory.get(judged);
    const firmware = manifest.firmware.get(verdict.id);
    if (item === undefined || firmware === undefined) continue;
    try {
      const content = entryAccess(folder, await inventory.sized(item));
      const of = { content, found: digestsOf(verdict), firmware, known, platform };
      found.set(verdict.id, await naming(item.path, diagnoseFile(of)));
    } catch (error) {
      faults.note(item.path, error);
    }
    count.done(item.path);
  }
  return found;
}

function digestsOf({ size, digests, fill }: FirmwareVerdict): StreamDigests | null {
  if (size === null || digests === null) return null;
  return { size, digests, ...(fill === undefined ? {} : { fill }) };
}

/**
 * The report with what changed since. Reports carry no times, so a file counts
 * as untouched when it was last modified no later than the earlier report was
 * written. The two-second steps of FAT times (Microsoft's FAT specification,
 * "Date and Time Formats") get no tolerance: it would call a file that was
 * rewritten right after the report silently changed.
 */
async function withComparison(
  report: Report,
  inventory: Listing,
  { report: earlier, written }: EarlierAudit,
): Promise<Report> {
  const modified = new Map<string, number | undefined>();
  for (const { judged } of report.firmware) {
    const item = judged === null ? undefined : inventory.get(judged);
    if (item === undefined || judged === null) continue;
    // What is gone by now has no time that could tell anything.
    const entry = await inventory.sized(item).catch((error: unknown) => {
      if (error instanceof ReadError) return null;
      throw error;
    });
    modified.set(judged, entry?.modified);
  }
  const { compareReports } = await import('./report/compare.js');
  const since = compareReports(earlier, report, {
    unchangedTime: (path) => {
      const time = modified.get(path);
      return written !== null && time !== undefined && time <= written;
    },
  });
  return { ...report, since };
}
