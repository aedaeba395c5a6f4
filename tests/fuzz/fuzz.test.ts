/** The quick part of the fuzzer; `pnpm run fuzz` is the long one. */
import { describe, it } from 'vitest';
import { CASES } from './cases.js';
import { keptSeeds } from './seeds.js';

// A fixed seed: the suite is to say the same each time. The long run picks its own.
const FIRST_SEED = 20_000;

describe.each(Object.entries(CASES))('%s', (kind, { run, quick }) => {
  it(`holds for ${quick} cases from seed ${FIRST_SEED}`, async () => {
    for (let seed = FIRST_SEED; seed < FIRST_SEED + quick; seed++) {
      await withSeed(kind, seed, run);
    }
  });
});

describe('seeds that once found something', () => {
  it.each(keptSeeds())('$kind $seed: $found', async ({ kind, seed }) => {
    const known = CASES[kind];
    if (known === undefined) return; // a kind this system cannot run
    await withSeed(kind, seed, known.run);
  });
});

async function withSeed(
  kind: string,
  seed: number,
  run: (seed: number) => Promise<void>,
): Promise<void> {
  await run(seed).catch((error: unknown) => {
    throw new Error(`${kind} ${seed}: run \`pnpm run fuzz ${kind} ${seed} 1\``, { cause: error });
  });
}
