import { ALGORITHMS, type Algorithm, type StreamDigests } from '../bytes/digests.js';
import { fact } from '../facts/fact.js';
import type { Fact } from '../facts/fact-values.js';
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

/** The algorithms that these dumps give digests of. */
export function algorithmsOf(dumps: readonly Dump[]): readonly Algorithm[] {
  return ALGORITHMS.filter((algorithm) =>
    dumps.some((dump) => dump.digests[algorithm] !== undefined),
  );
}

/** Whether content of this many bytes can be one of the dumps at all. */
export function sizeCanMatch(size: number, dumps: readonly Dump[]): boolean {
  return dumps.some((dump) => (dump.size === null || dump.size === size) && !isSizeOnly(dump));
}

/** Whether one of the dumps gives this size and no digest. */
export function hasSizeOnly(size: number, dumps: readonly Dump[]): boolean {
  return dumps.some((dump) => dump.size === size && isSizeOnly(dump));
}

/** The sizes that dumps give, ascending, each once. Bytes. */
export function sizesOf(dumps: readonly Dump[]): number[] {
  const sizes = new Set<number>();
  for (const { size } of dumps) if (size !== null) sizes.add(size);
  return [...sizes].sort((a, b) => a - b);
}

/** What is so of every file that is none of the dumps. */
export function mismatchFact(size: number, dumps: readonly Dump[]): Fact {
  const sizes = sizesOf(dumps);
  if (sizes.includes(size)) return fact('wrong-bytes', { size });
  if (dumps.some((dump) => dump.size === null)) return fact('wrong-digests', { size });
  return fact('wrong-size', { size, sizes });
}
