import type { Dump } from '../../manifest/model.js';
import type { Subject } from '../subject.js';
import { equalBytes } from '../transforms/equal.js';

/**
 * Tries one rearrangement that keeps the size. Null also when it changes
 * nothing: such bytes would have matched without it.
 */
export async function proveRearranged(
  subject: Subject,
  rearrange: (bytes: Uint8Array) => Uint8Array,
): Promise<Dump | null> {
  // Bytes that are all alike are the same in any order.
  if (subject.fill !== undefined || !subject.prover.fits(subject.size)) return null;
  const bytes = await subject.whole();
  if (bytes === null) return null;
  const rearranged = rearrange(bytes);
  return equalBytes(rearranged, bytes) ? null : subject.prover.prove(rearranged);
}
