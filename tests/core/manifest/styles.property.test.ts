import { readManifests, type Manifest } from '@firmtally/core';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { manifest as anyManifest, type PlainManifest } from './support/arbitrary-manifest.js';
import { chooser, writeYaml } from './support/write-yaml.js';

const ALGORITHMS = ['crc32', 'md5', 'sha1', 'sha256'] as const;

async function read(text: string): Promise<Manifest> {
  const { manifest, problems } = await readManifests([
    { path: 'm', bytes: new TextEncoder().encode(text) },
  ]);
  const errors = problems.filter(({ severity }) => severity === 'error');
  expect(errors, text).toEqual([]);
  if (manifest === null) throw new Error('no manifest');
  return manifest;
}

/** The model as plain data, without the locations, which differ by style. */
function plain({ firmware, systems, loadouts, sources }: Manifest): unknown {
  const maps = [firmware, systems, loadouts].map((map) => [...map]);
  return JSON.parse(
    JSON.stringify([sources[0]?.title, maps], (key, value: unknown) =>
      key === 'location' ? undefined : value,
    ),
  );
}

function expectContent(model: Manifest, source: PlainManifest): void {
  expect(model.sources[0]?.title).toBe(source.title ?? null);
  for (const [id, written] of Object.entries(source.firmware)) {
    const entry = model.firmware.get(id);
    expect(entry?.path).toBe(written.path);
    expect(entry?.note).toBe(written.note ?? null);
    expect(entry?.dumps).toMatchObject(
      (written.dumps ?? []).map((dump, index) => ({
        label: dump.label ?? `#${index + 1}`,
        size: dump.size ?? null,
        digests: Object.fromEntries(
          ALGORITHMS.flatMap((name) => {
            const digest = dump[name];
            return digest === undefined ? [] : [[name, digest.toLowerCase()]];
          }),
        ),
      })),
    );
  }
}

describe('a manifest', () => {
  it('means the same in every style of YAML and in JSON', async () => {
    await fc.assert(
      fc.asyncProperty(anyManifest, fc.infiniteStream(fc.nat(1000)), async (source, numbers) => {
        const choose = chooser(numbers);
        const model = await read(JSON.stringify(source));
        expectContent(model, source);
        for (const text of [
          JSON.stringify(source, null, '\t'),
          writeYaml(source, choose),
          writeYaml(source, choose).replaceAll('\n', '\r\n'),
        ]) {
          expect(plain(await read(text)), text).toEqual(plain(model));
        }
      }),
      { seed: 20_251, numRuns: 100 },
    );
  });
});
