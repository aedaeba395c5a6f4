import {
  ALGORITHMS,
  digestBytes,
  digestStream,
  memoryAccess,
  type Algorithm,
  type ArchiveReader,
  type ByteStream,
  type CaseFixStep,
  type DigestEngine,
  type Digests,
  type FolderCaseFixStep,
  type KeptFile,
  type PackedMember,
  type PackStep,
  type Step,
  type StreamDigests,
} from '@firmtally/core';
import { collect, folderOf, joinPath, temporaryName } from '@firmtally/core/internal';
import type { ZipContent } from '../archive/pack-zip.js';
import type { CardFs } from './card-fs.js';
import { assertFolder, ensureFolder } from './folders.js';
import { assertFree, moveToFreeName, moveToOtherCase, newToken, putInPlace } from './move.js';
import type { OpenOrigin } from './open-origin.js';
import { PlaceStopped, StepFailure } from './place-error.js';

/** What doing a step takes. */
export interface StepTools {
  readonly card: CardFs;
  readonly open: OpenOrigin;
  readonly archives: ArchiveReader;
  readonly engine: DigestEngine;
  readonly signal: AbortSignal | undefined;
  /** Told how many more bytes are written or read back. */
  readonly onBytes: ((count: number) => void) | undefined;
}

/** A step that writes a file. */
type WritingStep = Exclude<Step, CaseFixStep | FolderCaseFixStep>;

/**
 * Does one step. Whatever it throws, what was on the card before is there
 * still: at its path, or where `kept` says.
 */
export async function doStep(
  step: Step,
  kept: readonly KeptFile[],
  tools: StepTools,
): Promise<void> {
  if (step.kind === 'case-fix') await caseFixStep(step, kept, tools);
  else await writeStep(step, kept, tools);
}

async function caseFixStep(
  step: CaseFixStep | FolderCaseFixStep,
  kept: readonly KeptFile[],
  { card, engine, signal, onBytes }: StepTools,
): Promise<void> {
  const from = step.from.path;
  await assertFolder(card, folderOf(from));
  const there = await card.stat(from);
  if (there?.kind !== step.entry) throw new StepFailure(`${from} is not there any more.`);
  if (step.entry === 'file') {
    const bytes = stoppable(card.read(from), signal);
    const found = await digestStream(bytes, algorithmsOf(step.digests), engine, { onBytes });
    if (!isEqual(found, step)) throw new StepFailure(`${from} has changed since the plan.`);
  }
  await ensureFolder(card, folderOf(step.to));
  await assertKeepable(kept, card);
  await keep(kept, card);
  await assertFolder(card, folderOf(from));
  await moveToOtherCase(card, from, step.to);
  await card.syncFolder(folderOf(step.to));
}

async function writeStep(
  step: WritingStep,
  kept: readonly KeptFile[],
  tools: StepTools,
): Promise<void> {
  const { card } = tools;
  const folder = folderOf(step.to);
  await ensureFolder(card, folder);
  await assertKeepable(kept, card);
  if (kept.length === 0) await assertFree(card, step.to);
  const temporary = joinPath(folder, temporaryName(newToken()));
  try {
    if (step.kind === 'pack') await pack(step, temporary, tools);
    else await copy(step, temporary, tools);
    if (tools.signal?.aborted === true) throw interrupted();
    // The folders are looked at again: writing may have taken minutes.
    await assertFolder(card, folder);
    await keep(kept, card);
    await putInPlace(card, temporary, step.to, kept.length > 0);
  } catch (error) {
    await discard(temporary, card);
    throw error;
  }
  await card.syncFolder(folder);
}

/** Writes the bytes of one origin, and reads them back. */
async function copy(
  step: Exclude<WritingStep, PackStep>,
  temporary: string,
  tools: StepTools,
): Promise<void> {
  const bytes = tools.open(step.from, step.kind === 'repair' ? step.remedy : null);
  const written = await writeTemporary(bytes, step, temporary, tools);
  if (!isEqual(written, step)) throw changed();
  const found = await digestStream(
    stoppable(tools.card.read(temporary), tools.signal),
    algorithmsOf(step.digests),
    tools.engine,
    { onBytes: tools.onBytes },
  );
  if (!isEqual(found, step)) throw badReadBack();
}

/** Makes a ZIP of its members, writes it, reads it back, and looks at each member of what was read. */
async function pack(step: PackStep, temporary: string, tools: StepTools): Promise<void> {
  const { engine, signal } = tools;
  const members: ZipContent[] = [];
  for (const { path, from, remedy, size, digests } of step.members) {
    const bytes = await collect(stoppable(tools.open(from, remedy), signal), size);
    if (bytes === null || !(await isContent(bytes, { size, digests }, engine))) throw changed();
    members.push({ path, bytes });
  }
  const { packZip } = await import('../archive/pack-zip.js');
  const zip = await packZip(members);
  const whole = { size: step.size, digests: await digestBytes(zip, ALGORITHMS, engine) };
  const written = await writeTemporary(memoryStream(zip), whole, temporary, tools);
  if (!isEqual(written, whole)) throw changed();
  const back = await collect(
    counted(stoppable(tools.card.read(temporary), signal), tools.onBytes),
    step.size,
  );
  if (back === null || !(await isContent(back, whole, engine))) throw badReadBack();
  await checkPacked(back, step.members, tools);
}

/** Each member is found under its path in the ZIP, with the bytes it should have. */
async function checkPacked(
  zip: Uint8Array,
  members: readonly PackedMember[],
  { archives, engine }: StepTools,
): Promise<void> {
  const archive = await archives.open(memoryAccess(zip));
  try {
    const byPath = new Map(archive.members.map((each) => [each.path, each]));
    for (const { path, size, digests } of members) {
      const member = byPath.get(path);
      const found =
        member === undefined
          ? null
          : await digestStream(archive.read(member), algorithmsOf(digests), engine);
      if (found === null || !isEqual(found, { size, digests })) {
        throw new StepFailure(`The ZIP that was made has not the member ${path} as it should be.`);
      }
    }
  } finally {
    await archive.close();
  }
}

async function writeTemporary(
  bytes: ByteStream,
  expected: StreamDigests,
  temporary: string,
  tools: StepTools,
): Promise<StreamDigests> {
  const { card, engine, signal, onBytes } = tools;
  const file = await card.create(temporary);
  try {
    // Had a folder been swapped for a link just now, the file would lie outside; it is still empty.
    await assertFolder(card, folderOf(temporary));
    const written = writing(stoppable(bytes, signal), expected.size, file);
    const found = await digestStream(written, algorithmsOf(expected.digests), engine, { onBytes });
    if (isEqual(found, expected)) await file.sync();
    return found;
  } finally {
    await file.close();
  }
}

function changed(): StepFailure {
  return new StepFailure('The source has changed since the plan; run again.');
}

/**
 * What was written was read anew and hashed anew. The file was opened again,
 * but the system may answer from memory: only taking the card out and auditing
 * it again proves what the card itself holds.
 */
function badReadBack(): StepFailure {
  return new StepFailure(
    'What was read back differs from what was written: use another card, or another reader.',
  );
}

/** Passes a stream on once its bytes are in the file; never writes more than was planned. */
async function* writing(
  stream: ByteStream,
  size: number,
  file: { write(chunk: Uint8Array): Promise<void> },
): ByteStream {
  let count = 0;
  for await (const chunk of stream) {
    count += chunk.length;
    if (count > size) throw new StepFailure('The source has grown since the plan; run again.');
    await file.write(chunk);
    yield chunk;
  }
}

async function* stoppable(stream: ByteStream, signal: AbortSignal | undefined): ByteStream {
  for await (const chunk of stream) {
    if (signal?.aborted === true) throw interrupted();
    yield chunk;
  }
}

export function interrupted(): PlaceStopped {
  return new PlaceStopped('interrupted', 'Interrupted.');
}

/** Moves what is in the way; its content is never touched. */
async function keep(kept: readonly KeptFile[], card: CardFs): Promise<void> {
  for (const { path, to } of kept) {
    await ensureFolder(card, folderOf(to));
    await moveToFreeName(card, path, to);
    await card.syncFolder(folderOf(to));
    await card.syncFolder(folderOf(path));
  }
}

/** What is to be kept is still the file that was planned with. */
async function assertKeepable(kept: readonly KeptFile[], card: CardFs): Promise<void> {
  for (const { path, size } of kept) {
    await assertFolder(card, folderOf(path));
    const there = await card.stat(path);
    if (there?.kind !== 'file' || there.size !== size) {
      throw new StepFailure(`${path} is not the file it was when the plan was made; run again.`);
    }
  }
}

/** Removes a temporary file if it is there. What hinders that is no news beside the error that led here; the next run removes it. */
async function discard(temporary: string, card: CardFs): Promise<void> {
  try {
    await assertFolder(card, folderOf(temporary));
    if ((await card.stat(temporary))?.kind === 'file') await card.remove(temporary);
  } catch {
    return;
  }
}

function isEqual(found: StreamDigests, { size, digests }: StreamDigests): boolean {
  const algorithms = algorithmsOf(digests);
  // Without a digest there is nothing to tell by: that would be equal to anything of its size.
  if (algorithms.length === 0 || found.size !== size) return false;
  return algorithms.every((each) => digests[each] === found.digests[each]);
}

async function isContent(
  bytes: Uint8Array,
  expected: StreamDigests,
  engine: DigestEngine,
): Promise<boolean> {
  const digests = await digestBytes(bytes, algorithmsOf(expected.digests), engine);
  return isEqual({ size: bytes.length, digests }, expected);
}

function algorithmsOf(digests: Digests): Algorithm[] {
  return ALGORITHMS.filter((algorithm) => digests[algorithm] !== undefined);
}

function memoryStream(bytes: Uint8Array): ByteStream {
  return memoryAccess(bytes).read({ start: 0, end: bytes.length });
}

async function* counted(
  stream: ByteStream,
  onBytes: ((count: number) => void) | undefined,
): ByteStream {
  for await (const chunk of stream) {
    onBytes?.(chunk.length);
    yield chunk;
  }
}
