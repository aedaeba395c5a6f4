import type { ArchiveReader } from './bytes/archive.js';
import { checkedContent } from './bytes/checked-source.js';
import { memoryAccess } from './bytes/memory.js';
import { entryAccess } from './bytes/entry-content.js';
import { abortable } from './bytes/abort.js';
import { ProgressCount, type OnProgress } from './bytes/progress.js';
import type { FolderSource } from './bytes/source.js';
import type { Diagnosis } from './diagnose/diagnosis.js';
import type { DigestBytes } from './diagnose/proof.js';
import type { DigestStream, FileDigester, StreamDigests } from './digest/engine.js';
import { checkedDigester, checkedDigestStream } from './digest/checked-digester.js';
import { buildListing, type Listing } from './inventory/inventory.js';
import { FaultLog } from './judge/fault-log.js';
import { hintsFor } from './judge/hints.js';
import { judgeFirmware } from './judge/judge-firmware.js';
import { judgeReadiness } from './judge/readiness.js';
import type { FirmwareVerdict } from './judge/verdict.js';
import type { Manifest } from './manifest/model.js';
import type { Selection } from './manifest/selection.js';
import { KnownDumps } from './recognise/known-dumps.js';
import { buildReport } from './report/build-report.js';
import type { Report } from './report/model.js';
import { TOOL } from './version.js';

export interface AuditInput {
  /** Written into the report; this library's own name and version when not given. */
  readonly tool?: { readonly name: string; readonly version: string };
  /** What the report calls the root, with '/' separators. */
  readonly root: string;
  /** Where the root really is, for telling that it is a folder too deep; '/'-joined; unknown when not given. */
  readonly rootPath?: string;
  readonly manifest: Manifest;
  readonly selection: Selection;
  readonly folder: FolderSource;
  readonly digester: FileDigester;
  /** Null: entries with `members` are `unreadable`. */
  readonly archives: ArchiveReader | null;
  readonly digestStream: DigestStream;
  /** Makes every file a candidate for misplaced entries. */
  readonly wide?: boolean;
  /** Lists files that nothing in the manifests accounts for. */
  readonly strays?: boolean;
  /** A system that would be `unproven` is `not-ready`. */
  readonly strict?: boolean;
  /** Files read at the same time; 4 when not given. */
  readonly jobs?: number;
  /** Told how far it is: `list`, `read` and, where something is wrong, `diagnose`. What it throws, the audit rejects with. */
  readonly onProgress?: OnProgress;
  /** Stops the audit, which then rejects with the signal's reason. */
  readonly signal?: AbortSignal;
}

/** An audit's report together with the inventory it rests on. */
export interface AuditResult {
  readonly report: Report;
  readonly inventory: Listing;
}

/**
 * Audits a root against manifests. One bad file never ends it: what cannot be
 * read is a fault in the report. Throws what `folder.list` throws when the root
 * itself cannot be listed.
 */
export async function audit(input: AuditInput): Promise<Report> {
  return (await auditWithInventory(input)).report;
}

/** As {@link audit}, for callers that want the inventory too. */
export async function auditWithInventory(given: AuditInput): Promise<AuditResult> {
  const input = checked(given);
  const { selection, folder, signal } = input;
  const count = new ProgressCount(input.onProgress);
  count.start('list');
  const inventory = await buildListing(folder, { signal });
  count.start('read');
  const judgement = await judgeFirmware({
    ...input,
    expected: selection.firmware,
    inventory,
    count,
  });
  const faults = new FaultLog([...inventory.faults, ...judgement.faults]);
  const diagnoses = await diagnoseMismatches(input, judgement.verdicts, inventory, faults, count);
  const systems = judgeReadiness(selection, judgement.verdicts, inventory, input);
  const report = buildReport({
    tool: input.tool ?? TOOL,
    root: input.root,
    manifest: input.manifest,
    selection,
    verdicts: judgement.verdicts,
    systems,
    diagnoses,
    hints: hintsFor({
      manifest: input.manifest,
      selection,
      inventory,
      rootPath: input.rootPath ?? null,
    }),
    faults: faults.sorted(),
    strays: input.strays === true ? await inventory.sizes({ signal }) : null,
  });
  return { report, inventory };
}

/** One after another: each may hold a whole file in memory. */
async function diagnoseMismatches(
  input: AuditInput,
  verdicts: readonly FirmwareVerdict[],
  inventory: Listing,
  faults: FaultLog,
  count: ProgressCount,
): Promise<ReadonlyMap<string, Diagnosis>> {
  const found = new Map<string, Diagnosis>();
  const mismatches = verdicts.filter(({ verdict }) => verdict === 'mismatch');
  if (mismatches.length === 0) return found;
  // Loaded only when something is wrong.
  const { diagnoseFile } = await import('./diagnose/diagnose-file.js');
  const known = new KnownDumps(input.manifest.firmware.values());
  const digestBytes: DigestBytes = async (bytes, algorithms) => {
    const stream = memoryAccess(bytes).read({ start: 0, end: bytes.length });
    return (await input.digestStream(stream, algorithms)).digests;
  };
  count.start('diagnose', { files: mismatches.length });
  for (const verdict of mismatches) {
    input.signal?.throwIfAborted();
    const { judged } = verdict;
    const item = judged === null ? undefined : inventory.get(judged);
    const firmware = input.manifest.firmware.get(verdict.id);
    if (item === undefined || firmware === undefined) continue;
    const { archives } = input;
    try {
      const content = entryAccess(input.folder, await inventory.sized(item));
      const of = { content, found: digestsOf(verdict), firmware, known, digestBytes, archives };
      found.set(verdict.id, await diagnoseFile(of));
    } catch (error) {
      faults.note(item.path, error);
    }
    count.done(item.path);
  }
  return found;
}

/** The same, where what the caller's own source and digester give is checked, and every reading ends with the signal. */
function checked(input: AuditInput): AuditInput {
  const { signal, folder, digester } = input;
  const digestStream = checkedDigestStream(input.digestStream);
  return {
    ...input,
    folder: {
      ...checkedContent(folder, signal),
      list: (options) => folder.list(options),
      ...(folder.names === undefined ? {} : { names: folder.names }),
    },
    digester: checkedDigester(digester, signal),
    digestStream: (stream, algorithms) => digestStream(abortable(stream, signal), algorithms),
  };
}

function digestsOf({ size, digests, fill }: FirmwareVerdict): StreamDigests | null {
  if (size === null || digests === null) return null;
  return { size, digests, ...(fill === undefined ? {} : { fill }) };
}
