import type { ArchiveReader } from '../bytes/archive.js';
import { memoryAccess } from '../bytes/memory.js';
import { ReadError } from '../bytes/source.js';
import { collect } from '../bytes/collect.js';
import { openInside } from '../recognise/containers.js';
import type { Remedy, RemedyStep } from './diagnosis.js';
import { DIAGNOSIS_LIMITS } from './limits.js';
import { deinterleave, interleave } from './transforms/interleave.js';
import { convertNewlines } from './transforms/newlines.js';
import { swapBytes, swapHalves } from './transforms/swap.js';

/**
 * Undoes a damage in memory and gives the dump's bytes; the input is left as it
 * is. Needs up to three times the larger of input and result, at most
 * {@link DIAGNOSIS_LIMITS}.inflatedBytes of which come out of a container.
 *
 * Throws `ReadError('bad-archive')` when a container is damaged or the remedy
 * does not fit the bytes, `('limit-exceeded')` when it holds too much.
 */
export async function applyRemedy(
  bytes: Uint8Array,
  remedy: Remedy,
  archives: ArchiveReader | null,
): Promise<Uint8Array> {
  let result = bytes;
  for (const step of remedy.kind === 'sequence' ? remedy.steps : [remedy]) {
    result = await applyStep(result, step, archives);
  }
  return result;
}

async function applyStep(
  bytes: Uint8Array,
  step: RemedyStep,
  archives: ArchiveReader | null,
): Promise<Uint8Array> {
  switch (step.kind) {
    case 'slice':
      if (step.start < 0 || step.end > bytes.length || step.start > step.end) {
        throw misfit(`bytes ${step.start} to ${step.end} are not in a file of ${bytes.length}`);
      }
      return new Uint8Array(bytes.subarray(step.start, step.end));
    case 'swap':
      return swapBytes(bytes, step.unit);
    case 'swap-halves':
      return swapHalves(bytes);
    case 'deinterleave':
    case 'interleave': {
      if (bytes.length % 2 !== 0) throw misfit('an odd number of bytes has no two halves');
      const rearrange = step.kind === 'interleave' ? interleave : deinterleave;
      return rearrange(bytes, step.oddFirst ?? false);
    }
    case 'newlines':
      return convertNewlines(bytes, step.from);
    case 'gunzip':
    case 'unzip': {
      const limit = DIAGNOSIS_LIMITS.inflatedBytes;
      const content = await collect(
        openInside(memoryAccess(bytes), [step], archives, limit),
        limit,
      );
      if (content === null) throw tooLarge(limit);
      return content;
    }
  }
}

function misfit(reason: string): ReadError {
  return new ReadError('bad-archive', `The damage cannot be undone: ${reason}.`);
}

function tooLarge(limit: number): ReadError {
  return new ReadError('limit-exceeded', `What is inside is larger than ${limit} bytes.`);
}
