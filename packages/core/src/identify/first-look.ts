import { readRange } from '../bytes/collect.js';
import type { RandomAccess } from '../bytes/source.js';

/** Bytes compared at the front of both halves: enough that other files hardly ever pass. Own choice. */
const WINDOW = 512;

/**
 * Whether the first bytes speak for the same bytes twice: what can be told of a
 * dump of unknown size at the cost of two small reads. Throws ReadError.
 */
export async function looksDoubled(content: RandomAccess): Promise<boolean> {
  const { size } = content;
  if (size < 2 || size % 2 !== 0) return false;
  const head = await readRange(content, { start: 0, end: WINDOW });
  const half = size / 2;
  const second = await readRange(content, { start: half, end: half + WINDOW });
  return second.every((byte, at) => at >= half || byte === head[at]);
}
