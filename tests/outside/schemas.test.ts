import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { readManifests } from '@firmtally/core';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';

const folder = fileURLToPath(new URL('../../data-schemas/', import.meta.url));
const names = readdirSync(folder).filter((name) => name.endsWith('.schema.json'));

function load(name: string): Record<string, unknown> {
  return JSON.parse(readFileSync(folder + name, 'utf8')) as Record<string, unknown>;
}

/** What the YAML and JSON language servers read beside the draft; validators ignore it (10.3.1 of the core: unknown keywords are annotations). */
function withEditorWords(ajv: Ajv2020): Ajv2020 {
  ajv.addVocabulary([
    'errorMessage',
    'patternErrorMessage',
    'markdownDescription',
    'defaultSnippets',
  ]);
  return ajv;
}

/** The examples anywhere in a schema, with the part they are examples of. */
function* examples(part: unknown): Generator<{ part: object; value: unknown }> {
  if (typeof part !== 'object' || part === null) return;
  const { examples: values } = part as { examples?: unknown };
  if (Array.isArray(values)) for (const value of values as unknown[]) yield { part, value };
  for (const inner of Object.values(part)) yield* examples(inner);
}

interface Part {
  readonly $ref?: string;
  readonly type?: unknown;
  readonly description?: string;
  readonly properties?: Readonly<Record<string, Part>>;
  readonly $defs?: Readonly<Record<string, Part>>;
}

/** Where a property is that nothing says the meaning of: neither in place nor, but for numbers, where it refers to. */
function undescribed(part: unknown, at: string, defs: NonNullable<Part['$defs']>): string[] {
  if (typeof part !== 'object' || part === null) return [];
  const own = Object.entries((part as Part).properties ?? {}).flatMap(([name, property]) => {
    const target = defs[property.$ref?.slice('#/$defs/'.length) ?? ''];
    const said =
      property.description ?? (target?.type === 'integer' ? undefined : target?.description);
    // Of `false`, which forbids a property, there is nothing to say.
    return typeof property === 'object' && said === undefined ? [`${at}/${name}`] : [];
  });
  const inner = Object.entries(part)
    // A condition refers to what is described elsewhere.
    .filter(([key]) => key !== 'if')
    .flatMap(([key, value]) => undescribed(value, `${at}/${key}`, defs));
  return [...own, ...inner];
}

describe('published schemas', () => {
  it.each(names)('%s describes every property', (name) => {
    const schema = load(name);
    expect(undescribed(schema, '', (schema as Part).$defs ?? {})).toEqual([]);
  });

  // Source: JSON Schema draft 2020-12, its meta-schema https://json-schema.org/draft/2020-12/schema
  // with its vocabularies, as ajv carries them in ajv/dist/refs/json-schema-2020-12.
  it.each(names)('%s is valid under the meta-schema of draft 2020-12', async (name) => {
    const schema = load(name);
    expect(schema['$schema']).toBe('https://json-schema.org/draft/2020-12/schema');
    const ajv = new Ajv2020();
    expect(await ajv.validateSchema(schema), JSON.stringify(ajv.errors)).toBe(true);
  });

  it.each(names)("%s has no keyword but the draft's and those of editors", (name) => {
    const ajv = withEditorWords(new Ajv2020({ strictSchema: true, allowUnionTypes: true }));
    expect(() => ajv.compile(load(name))).not.toThrow();
  });

  it('the manifest schema describes every key, and its examples are valid', () => {
    const schema = load('manifest.schema.json');
    const ajv = withEditorWords(new Ajv2020({ allowUnionTypes: true }));
    ajv.addSchema(schema, 'manifest');
    const all = [...examples(schema)];
    expect(all.length).toBeGreaterThan(15);
    for (const { part, value } of all) {
      // By itself: under the schema's own $id it would be a second one of that name.
      const alone = Object.fromEntries(Object.entries(part).filter(([key]) => key !== '$id'));
      const isValid = ajv.compile({ ...alone, $defs: schema['$defs'] });
      expect(isValid(value), JSON.stringify([part, isValid.errors])).toBe(true);
    }
  });
});

describe('a manifest with digests that look like numbers', () => {
  const text = [
    'firmtally: 1',
    'firmware:',
    '  osprey-boot:',
    '    path: boot.bin',
    '    dumps:',
    '      - {size: 1, crc32: 00001234}',
    '      - {size: 2, crc32: 1e100000}',
    '      - {size: 3, md5: 00112233445566778899001122334455}',
    'systems: {osprey: {requires: [osprey-boot]}}',
  ].join('\n');
  const dumpsOf = (value: unknown): Record<string, unknown>[] =>
    (value as { firmware: Record<string, { dumps: Record<string, unknown>[] }> }).firmware[
      'osprey-boot'
    ]?.dumps ?? [];

  // Source: YAML 1.2.2, 10.3.2: the core schema resolves [-+]?[0-9]+ and 1e100000 to numbers.
  it('loses them in a reader with the core schema, and keeps them here', async () => {
    expect(dumpsOf(parse(text)).map((dump) => typeof (dump['crc32'] ?? dump['md5']))).toEqual([
      'number',
      'number',
      'number',
    ]);
    const { manifest } = await readManifests([
      { path: 'm.yaml', bytes: new TextEncoder().encode(text) },
    ]);
    expect(manifest?.firmware.get('osprey-boot')?.dumps.map(({ digests }) => digests)).toEqual([
      { crc32: '00001234' },
      { crc32: '1e100000' },
      { md5: '00112233445566778899001122334455' },
    ]);
  });

  it('is accepted by the schema in an editor that reads with the core schema, too', () => {
    const isManifest = withEditorWords(new Ajv2020({ allowUnionTypes: true })).compile(
      load('manifest.schema.json'),
    );
    const document: unknown = parse(text);
    // JSON has no infinity, and an editor shows the number 1e100000 as one; YAML 1.2.2 allows it.
    const finite = JSON.parse(
      JSON.stringify(document, (_key, value: unknown) => (value === Infinity ? 1e308 : value)),
    ) as unknown;
    expect(isManifest(finite), JSON.stringify(isManifest.errors)).toBe(true);
  });
});
