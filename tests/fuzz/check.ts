import { inspect } from 'node:util';

/** A finding of the fuzzer: what should have been, and what was. */
class Finding extends Error {
  override readonly name = 'Finding';
}

export function check(holds: boolean, what: string, seen: unknown): asserts holds {
  if (!holds) throw new Finding(`${what}\n${inspect(seen, { depth: 8, breakLength: 110 })}`);
}
