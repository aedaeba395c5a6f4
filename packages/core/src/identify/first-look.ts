import type { RandomAccess } from '../bytes/source.js';
import { readRange } from '../bytes/collect.js';
import { isGzip } from '../recognise/gunzip.js';
import { isZip } from '../recognise/containers.js';

/** Bytes compared at the front of both halves: enough that other files hardly ever pass. Own choice. */
const WINDOW = 512;

/**
 * Whether the first bytes speak for a gzip file, or for the same bytes twice:
 * what can be told of a dump of unknown size at the cost of two small reads.
 * Throws ReadError.
 */
export async function looksGzippedOrDoubled(content: RandomAccess): Promise<boolean> {
  const { size } = content;
  if (size < 2) return false;
  const head = await readRange(content, { start: 0, end: WINDOW });
  if (isGzip(head)) return true;
  if (size % 2 !== 0) return false;
  const half = size / 2;
  const second = await readRange(content, { start: half, end: half + WINDOW });
  return second.every((byte, at) => at >= half || byte === head[at]);
}

/** Whether it begins as a ZIP does. Throws ReadError. */
export async function looksZipped(content: RandomAccess): Promise<boolean> {
  // An end record alone has 22 bytes (APPNOTE 4.3.16).
  return content.size > 22 && isZip(await readRange(content, { start: 0, end: 4 }));
}
