import type { ArchiveReader } from '../bytes/archive.js';
import { entryAccess } from '../bytes/entry-content.js';
import { memoryAccess } from '../bytes/memory.js';
import { isReadable, ReadError, type ContentSource, type Entry } from '../bytes/source.js';
import { applyRemedy } from '../diagnose/apply-remedy.js';
import { readRange } from '../bytes/collect.js';
import { diagnoseFile } from '../diagnose/diagnose-file.js';
import { DIAGNOSIS_LIMITS } from '../diagnose/limits.js';
import type { DigestBytes } from '../diagnose/proof.js';
import {
  ALGORITHMS,
  type DigestStream,
  type Digests,
  type StreamDigests,
} from '../digest/engine.js';
import type { Firmware, Manifest } from '../manifest/model.js';
import type { ExpectedFirmware } from '../manifest/selection.js';
import { foldCase } from '../text/fold.js';
import { baseName } from '../text/path.js';
import { DumpIndex } from '../recognise/dump-index.js';
import { isDump } from '../recognise/dumps.js';
import { KnownDumps } from '../recognise/known-dumps.js';
import { checkMembers, readZip, WantedMembers } from '../recognise/members.js';
import type { Candidate, CandidateUse } from './candidate.js';

/** Files examined at most for one firmware, and bytes in all of them: own choice, seconds of work. */
export const REPAIR_LIMITS = { files: 200, bytes: 256 * 1024 * 1024 } as const;

export interface RepairInput {
  /** As the caller named it; null is the card. */
  readonly source: string | null;
  readonly entries: readonly Entry[];
  readonly originPath?: (path: string) => string;
  readonly folder: ContentSource;
  readonly archives: ArchiveReader;
  readonly digestBytes: DigestBytes;
  readonly digestStream: DigestStream;
  readonly manifest: Manifest;
  /** Firmware that no candidate is found for. */
  readonly wanted: readonly ExpectedFirmware[];
  /** Examines files of any name, not only those named as the firmware. */
  readonly anyName: boolean;
}

/**
 * Looks for damaged copies that a proven remedy turns into a dump. Files named
 * as the firmware (whatever the ending) come first, then the others in order,
 * within {@link REPAIR_LIMITS}. At most one is returned for each firmware; it may serve several.
 */
export async function gatherRepairs(input: RepairInput): Promise<readonly Candidate[]> {
  const found: Candidate[] = [];
  const index = new DumpIndex(input.wanted.map(({ firmware }) => firmware));
  const known = new KnownDumps(input.manifest.firmware.values());
  const served = new Set<string>();
  for (const { firmware, expectedPath } of input.wanted) {
    if (served.has(firmware.id)) continue;
    let { files, bytes }: { files: number; bytes: number } = REPAIR_LIMITS;
    for (const entry of inOrder(input, expectedPath)) {
      files -= 1;
      bytes -= entry.size;
      if (files < 0 || bytes < 0) break;
      const candidate = await repairOf(input, entry, firmware, { index, known });
      if (candidate === null) continue;
      found.push(candidate);
      for (const use of candidate.uses) served.add(use.firmware);
      break;
    }
  }
  return found;
}

function inOrder(input: RepairInput, expectedPath: string): Entry[] {
  const examined = input.entries.filter(
    (entry) => isReadable(entry) && entry.size > 0 && entry.size <= DIAGNOSIS_LIMITS.wholeFileBytes,
  );
  const stem = stemOf(expectedPath);
  const named = examined.filter((entry) => stemOf(entry.path) === stem);
  if (!input.anyName) return named;
  const others = examined.filter((entry) => stemOf(entry.path) !== stem);
  return [...named, ...others];
}

/** `a/Boot.bin.gz` -> `boot`. */
function stemOf(path: string): string {
  const name = foldCase(baseName(path));
  const dot = name.indexOf('.', 1);
  return dot < 0 ? name : name.slice(0, dot);
}

async function repairOf(
  input: RepairInput,
  entry: Entry,
  firmware: Firmware,
  { index, known }: { readonly index: DumpIndex; readonly known: KnownDumps },
): Promise<Candidate | null> {
  const { folder, archives, digestBytes, source } = input;
  const content = entryAccess(folder, entry);
  try {
    const found = await diagnoseFile({ content, firmware, known, digestBytes, archives });
    if (!found.proven || found.remedy === null || found.firmware !== firmware.id) return null;
    const damaged = await readRange(content, { start: 0, end: entry.size });
    const bytes = await applyRemedy(damaged, found.remedy, archives);
    const digests = await digestBytes(bytes, ALGORITHMS);
    if (!(await isRight(bytes, digests, firmware, input))) return null;
    return {
      origin: { source, path: input.originPath?.(entry.path) ?? entry.path, inside: [] },
      remedy: found.remedy,
      size: bytes.length,
      digests,
      memberUses: [],
      uses: usesOf({ size: bytes.length, digests }, firmware, found.dump, index),
    };
  } catch (error) {
    // What cannot be read cannot be repaired; gatherCandidates has reported it.
    if (error instanceof ReadError) return null;
    throw error;
  }
}

/** What the corrected bytes are good for: the entry they were made for, and every other that wants the same. */
function usesOf(
  found: StreamDigests,
  { id }: Firmware,
  dump: string | null,
  index: DumpIndex,
): CandidateUse[] {
  const others = index.match(found).filter(({ firmware }) => firmware.id !== id);
  return [
    { firmware: id, dump },
    ...others.map((each) => ({ firmware: each.firmware.id, dump: each.dump.label })),
  ];
}

/** The diagnosis has proven it; what goes onto a card is checked once more all the same. */
async function isRight(
  bytes: Uint8Array,
  digests: Digests,
  { members, dumps }: Firmware,
  { archives, digestStream }: RepairInput,
): Promise<boolean> {
  if (members === null) return dumps.some((dump) => isDump({ size: bytes.length, digests }, dump));
  const wanted = new WantedMembers([{ members }]);
  const contents = await readZip(memoryAccess(bytes), {
    archives,
    digestStream,
    algorithmsFor: (member) => wanted.algorithmsFor(member),
  });
  return checkMembers(contents, members).outcome === 'right';
}
