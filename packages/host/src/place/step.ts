import {
  ALGORITHMS,
  digestStream,
  folderOf,
  joinPath,
  temporaryName,
  type Algorithm,
  type ByteStream,
  type DigestEngine,
  type Digests,
  type KeptFile,
  type Step,
  type StreamDigests,
} from '@firmtally/core';
import type { CardFs } from './card-fs.js';
import { assertFolder, ensureFolder } from './folders.js';
import { assertFree, moveToFreeName, moveToOtherCase, newToken, putInPlace } from './move.js';
import { PlaceStopped, StepFailure } from './place-error.js';

/** What doing a step takes. */
export interface StepTools {
  readonly card: CardFs;
  /** The bytes a step places, remedy applied. Throws ReadError. */
  readonly open: (step: Step) => ByteStream;
  readonly engine: DigestEngine;
  readonly signal: AbortSignal | undefined;
  /** Told how many more bytes are written or read back. */
  readonly onBytes: ((count: number) => void) | undefined;
}

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
  step: Step,
  kept: readonly KeptFile[],
  { card, engine, signal, onBytes }: StepTools,
): Promise<void> {
  const from = step.from.path;
  await assertFolder(card, folderOf(from));
  const there = await card.stat(from);
  if (there?.kind !== step.entry) throw new StepFailure(`${from} is not there any more.`);
  if (step.digests !== null) {
    const found = await digestStream(
      stoppable(card.read(from), signal),
      algorithmsOf(step.digests),
      engine,
      onBytes,
    );
    if (!isWhatWasPlanned(found, step))
      throw new StepFailure(`${from} has changed since the plan.`);
  }
  await ensureFolder(card, folderOf(step.to));
  await assertKeepable(kept, card);
  await keep(kept, card);
  await assertFolder(card, folderOf(from));
  await moveToOtherCase(card, from, step.to);
  await card.syncFolder(folderOf(step.to));
}

async function writeStep(step: Step, kept: readonly KeptFile[], tools: StepTools): Promise<void> {
  const { card } = tools;
  const folder = folderOf(step.to);
  await ensureFolder(card, folder);
  await assertKeepable(kept, card);
  if (kept.length === 0) await assertFree(card, step.to);
  const temporary = joinPath(folder, temporaryName(newToken()));
  try {
    await writeTemporary(step, temporary, tools);
    await readBack(step, temporary, tools);
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

async function writeTemporary(step: Step, temporary: string, tools: StepTools): Promise<void> {
  const { card, engine, signal, onBytes } = tools;
  const file = await card.create(temporary);
  let found: StreamDigests;
  try {
    // Had a folder been swapped for a link just now, the file would lie outside; it is still empty.
    await assertFolder(card, folderOf(temporary));
    const written = writing(stoppable(tools.open(step), signal), step.size, file);
    found = await digestStream(written, algorithmsOf(step.digests ?? {}), engine, onBytes);
    if (isWhatWasPlanned(found, step)) await file.sync();
  } finally {
    await file.close();
  }
  if (!isWhatWasPlanned(found, step)) {
    throw new StepFailure('The source has changed since the plan; run again.');
  }
}

/**
 * Reads what was written and hashes it anew. The file is opened again, but the
 * system may answer from memory: only taking the card out and auditing it again
 * proves what the card itself holds.
 */
async function readBack(step: Step, temporary: string, tools: StepTools): Promise<void> {
  const { card, engine, signal, onBytes } = tools;
  const algorithms = algorithmsOf(step.digests ?? {});
  const found = await digestStream(
    stoppable(card.read(temporary), signal),
    algorithms,
    engine,
    onBytes,
  );
  if (!isWhatWasPlanned(found, step)) {
    throw new StepFailure(
      'What was read back differs from what was written: use another card, or another reader.',
    );
  }
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

function isWhatWasPlanned(found: StreamDigests, step: Step): boolean {
  if (found.size !== step.size) return false;
  const digests = step.digests ?? {};
  return algorithmsOf(digests).every((each) => digests[each] === found.digests[each]);
}

function algorithmsOf(digests: Digests): Algorithm[] {
  return ALGORITHMS.filter((algorithm) => digests[algorithm] !== undefined);
}
