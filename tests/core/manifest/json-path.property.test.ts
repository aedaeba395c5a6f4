import { readManifests, type ManifestResult } from '@firmtally/core';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { manifest } from './support/arbitrary-manifest.js';

function read(text: string): Promise<ManifestResult> {
  return readManifests([{ path: 'm.json', bytes: new TextEncoder().encode(text) }]);
}

/** All but the digest of the file itself. */
function content({ manifest: model, problems }: ManifestResult): unknown {
  const maps = model === null ? null : [model.firmware, model.systems, model.loadouts];
  return [maps, model?.sources.map(({ title }) => title), problems];
}

const KEYS = [
  'firmtally',
  'title',
  'case',
  'firmware',
  'systems',
  'loadouts',
  'titel',
  '__proto__',
];

/** JSON that is mostly no manifest. */
const anything = fc.dictionary(fc.constantFrom(...KEYS), fc.jsonValue({ maxDepth: 4 }));

describe('JSON, which has a reader of its own', () => {
  it('gives the same model, problems and places as when the YAML library reads it', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.oneof(manifest, anything),
        fc.constantFrom('', '  ', '\t'),
        async (value, indent) => {
          const text = JSON.stringify(value, null, indent);
          // JSON has no comments (RFC 8259), so this is YAML.
          const asYaml = `${text}\n# YAML`;
          expect(content(await read(text)), text).toEqual(content(await read(asYaml)));
        },
      ),
      { seed: 20261125, numRuns: 300 },
    );
  });

  it.each([
    ['a key twice', '{"firmtally":1,"title":"a","title":"b"}', 'duplicate-key'],
    ['nesting', `{"firmtally":1,"x":${'['.repeat(70)}${']'.repeat(70)}}`, 'too-deep'],
    ['a missing comma', '{"firmtally":1,"title":"a" "case":"exact"}', 'yaml-syntax'],
  ])('still reports %s', async (_name, text, rule) => {
    expect((await read(text)).problems.map((problem) => problem.rule)).toContain(rule);
  });

  it('reads quotes and backslashes at the end of text (RFC 8259, 7)', async () => {
    const { manifest: model } = await read('{"firmtally":1,"title":"a\\\\\\"b\\\\"}');
    expect(model?.sources[0]?.title).toBe('a\\"b\\');
  });
});
