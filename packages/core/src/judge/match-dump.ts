import { ALGORITHMS, type StreamDigests } from '../digest/engine.js';
import { isSizeOnly, type Dump } from '../manifest/model.js';

/** Whether content is proven to be this dump: its size (if given) and every digest given are equal, and there is one. */
export function isDump(found: StreamDigests, dump: Dump): boolean {
  if (isSizeOnly(dump)) return false;
  if (dump.size !== null && dump.size !== found.size) return false;
  return ALGORITHMS.every(
    (algorithm) =>
      dump.digests[algorithm] === undefined || dump.digests[algorithm] === found.digests[algorithm],
  );
}

/** The first of the dumps, in listed order, that the content is; null when it is none. */
export function matchDump(found: StreamDigests, dumps: readonly Dump[]): Dump | null {
  return dumps.find((dump) => isDump(found, dump)) ?? null;
}
