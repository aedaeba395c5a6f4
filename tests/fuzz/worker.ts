/** Runs cases of one kind and tells the parent of each. Arguments: kind, first seed, end (exclusive). */
import { CASES } from './cases.js';

export interface Message {
  readonly seed: number;
  readonly ms: number;
  /** Null when all is well. */
  readonly found: string | null;
}

const [kind = '', first, end] = process.argv.slice(2);
const known = CASES[kind];
if (known === undefined || process.send === undefined) throw new Error('started by run.ts only');
for (let seed = Number(first); seed < Number(end); seed++) {
  const start = performance.now();
  const found = await known.run(seed).then(
    () => null,
    (error: unknown) => (error instanceof Error ? (error.stack ?? error.message) : String(error)),
  );
  process.send({ seed, ms: Math.round(performance.now() - start), found } satisfies Message);
}
process.disconnect();
