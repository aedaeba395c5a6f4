import { readManifests, type ManifestResult } from '@firmtally/core';

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { plainYaml } from '../../../packages/core/src/manifest/parse/plain-yaml.js';
import { manifest } from './support/arbitrary-manifest.js';
import { chooser, writeYaml } from './support/write-yaml.js';

/** A tab, which the reader of plain YAML leaves to the library, in a comment, which means nothing (YAML 1.2.2, 6.6). */
const FOR_LIBRARY = '\n#\t';

/** All but the digest of the file itself. */
async function content(text: string): Promise<unknown> {
  const { manifest: model, problems }: ManifestResult = await readManifests([
    { path: 'm.yaml', bytes: new TextEncoder().encode(text) },
  ]);
  const maps = model === null ? null : [model.firmware, model.systems, model.loadouts];
  return [maps, model?.sources.map(({ title }) => title), problems];
}

/** What decides how a line of YAML is read. */
const PIECES = [
  ...['a', 'size', '"q"', "'s'", 'null', '1', 'x y', 'é', '.', '---', '<<', '-', '?', ':', ': '],
  ...['- ', ' ', '  ', '\n', '\n  ', '\n    ', '\n- ', '\n  - ', '#', ' # c', '[', ']', '{', '}'],
  ...[',', ', ', 'k: v', 'b:\n', '&x', '*x', '!t', '|', '>', '%', '@', '\\', '\r\n', '\ufeff'],
];
const PLAIN = ['k: v', 'list:\n- a\n- b: c\n  d: e', 'm:\n  n: [a, {b: c}]', 'o: # c\n  p: "q"'];

describe('plain YAML, which has a reader of its own', () => {
  it('gives the same model, problems and places as when the library reads it', async () => {
    let plain = 0;
    await fc.assert(
      fc.asyncProperty(manifest, fc.infiniteStream(fc.nat(1000)), async (value, numbers) => {
        const text = writeYaml(value, chooser(numbers)).trimStart();
        if (plainYaml(text) === null) return;
        plain++;
        expect(await content(text), text).toEqual(await content(text + FOR_LIBRARY));
      }),
      { seed: 20251125, numRuns: 80 },
    );
    expect(plain).toBeGreaterThan(10);
  });

  it('says nothing of what the library sees otherwise, be it sound or not', async () => {
    let plain = 0;
    const piece = fc.oneof(fc.constantFrom(...PIECES), fc.constantFrom(...PLAIN));
    await fc.assert(
      fc.asyncProperty(fc.array(piece, { maxLength: 9 }), async (pieces) => {
        const text = pieces.join('');
        if (plainYaml(text) === null) return;
        plain++;
        expect(await content(text), text).toEqual(await content(text + FOR_LIBRARY));
      }),
      { seed: 20251125, numRuns: 6000 },
    );
    expect(plain).toBeGreaterThan(100);
  });

  it.each([
    [
      'a manifest as people write it',
      'firmtally: 1\nfirmware: # all\n  a: { path: b, dumps: [] }\n',
    ],
    ['line ends of Windows', 'firmtally: 1\r\ntitle: "x"\r\n'],
    ['a list at the column of its key', 'requires:\n- a\n- any-of: [b,\n    c]\n'],
  ])('is read here: %s', (_what, text) => {
    expect(plainYaml(text)?.damaged).toBe(false);
  });
});
