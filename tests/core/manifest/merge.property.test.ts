import { readManifests, type Manifest, type Problem } from '@firmtally/core';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { manifest as anyManifest, type PlainManifest } from './support/arbitrary-manifest.js';

async function read(
  parts: readonly object[],
): Promise<{ manifest: Manifest | null; problems: readonly Problem[] }> {
  return readManifests(
    parts.map((part, index) => ({
      path: `${String(index)}.json`,
      bytes: new TextEncoder().encode(JSON.stringify(part)),
    })),
  );
}

/** The model as plain data, without where it was written. */
function plain(manifest: Manifest | null): unknown {
  const { firmware, systems, loadouts } = manifest ?? {};
  return JSON.parse(
    JSON.stringify(
      [firmware, systems, loadouts].map((map) => [...(map ?? [])]),
      (key, value: unknown) => (key === 'location' ? undefined : value),
    ),
  );
}

function rulesOf(problems: readonly Problem[]): string[] {
  return problems.map(({ rule, message }) => `${rule} ${message}`).sort();
}

interface Part extends Omit<PlainManifest, 'firmware' | 'systems'> {
  readonly firmware: Record<string, unknown>;
  readonly systems: Record<string, unknown>;
}

/** Each entry and system in one of the files, or in several; what says where files belong, in all. */
function split(whole: PlainManifest, into: number, choices: readonly number[]): object[] {
  let at = 0;
  const choose = (): number => (choices[at++ % choices.length] ?? 0) % (1 << into);
  const { firmware, systems, title, ...rest } = whole;
  const parts = Array.from({ length: into }, (): Part => ({
    ...rest,
    ...(title === undefined ? {} : { title }),
    firmware: {},
    systems: {},
  }));
  for (const section of ['firmware', 'systems'] as const) {
    for (const [id, written] of Object.entries({ firmware, systems }[section])) {
      // Bits of files that define it; none is all.
      const files = choose() || (1 << into) - 1;
      for (const [index, part] of parts.entries()) {
        if ((files >> index) % 2 === 1) part[section][id] = written;
      }
    }
  }
  return parts;
}

const choices = fc.array(fc.nat(255), { minLength: 5, maxLength: 20 });

describe('several manifests', () => {
  it('say what one with all of it says, in whatever order they are given', async () => {
    await fc.assert(
      fc.asyncProperty(anyManifest, fc.integer({ min: 2, max: 4 }), choices, async (...given) => {
        const parts = split(...given);
        const whole = await read([given[0]]);
        expect(whole.manifest).not.toBeNull();
        for (const order of [parts, [...parts].reverse()]) {
          const merged = await read(order);
          expect(plain(merged.manifest)).toEqual(plain(whole.manifest));
          expect(new Set(rulesOf(merged.problems))).toEqual(new Set(rulesOf(whole.problems)));
        }
      }),
      { seed: 20_253, numRuns: 60 },
    );
  });

  it('that define an id differently are refused, naming both places', async () => {
    await fc.assert(
      fc.asyncProperty(anyManifest, fc.nat(), async (whole, choice) => {
        const ids = Object.keys(whole.firmware);
        const id = ids[choice % ids.length] ?? '';
        const { path, ...others } = whole.firmware[id] ?? { path: '' };
        const other = { ...whole, firmware: { [id]: { ...others, path: `other-${path}` } } };
        const { manifest, problems } = await read([whole, { ...other, systems: {} }]);
        expect(manifest).toBeNull();
        const [conflict, ...more] = problems.filter(({ rule }) => rule === 'id-conflict');
        expect(conflict?.file).toBe('1.json');
        expect(conflict?.related.map(({ file }) => file)).toEqual(['0.json']);
        expect(more).toEqual([]);
      }),
      { seed: 20_254, numRuns: 40 },
    );
  });
});
