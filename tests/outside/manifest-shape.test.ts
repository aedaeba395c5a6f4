/**
 * What is a wrong shape: the command, the schema with ajv, and the schema with
 * an independent validator, Python's jsonschema (Debian: python3-jsonschema),
 * agree on every manifest of the golden tests and on mutations of a sound one.
 */
import { spawnSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { readManifests, schemaText } from '@firmtally/core';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { beforeAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';

const golden = fileURLToPath(new URL('../core/manifest/golden/', import.meta.url));

/** Rules that say what the schema says too. */
const OF_SHAPE = new Set([
  ...['wrong-version', 'missing-key', 'unknown-key', 'wrong-type', 'wrong-value', 'empty-list'],
  ...['bad-id', 'unsafe-path', 'digest-characters', 'digest-length', 'no-digest'],
  ...['members-and-dumps', 'too-deep', 'not-a-manifest', 'posted-list'],
]);

const SOUND = {
  firmtally: 1,
  title: 'x',
  folder: 'system/firmware',
  case: 'exact',
  firmware: {
    a: { path: 'a.bin', note: 'x', dumps: [{ label: 'B', size: 5, crc32: '1c2d3e4f' }] },
    b: { path: 'b.zip', members: [{ path: 'k1', dumps: [{ md5: '0123456789abcdef'.repeat(2) }] }] },
  },
  systems: {
    s: {
      name: 'S',
      requires: ['a', { 'any-of': ['a', 'b'] }],
      optional: ['b'],
      folders: [
        {
          path: 'games',
          holds: { 'at-least': 1, extensions: ['osp'] },
          pictures: { folder: 'art' },
        },
      ],
    },
  },
  loadouts: {
    l: ['s'],
    k: { name: 'K', systems: ['s'], folder: 'bios', content: { games: 'roms' } },
  },
};

const ODD: readonly unknown[] = [
  ...[
    null,
    [],
    {},
    '',
    ' ',
    'x',
    'a b',
    '.',
    '..',
    'a/../b',
    './a',
    'a/',
    '/a',
    'C:/a',
    'c:',
    '...',
  ],
  ...[
    '\u00e9',
    '\u96f7\u9ce5',
    '\u0000',
    'a\\b',
    -1,
    1.5,
    2 ** 53,
    '5',
    [null],
    [[]],
    ['x', {}],
    { x: 1 },
  ],
  'a'.repeat(101),
];

/** The document with each value in turn replaced, and each key in turn renamed or removed. */
function mutations(value: unknown): unknown[] {
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value as Record<string, unknown>).flatMap(([key, inner]) => {
    const put = (other: unknown): unknown =>
      Array.isArray(value)
        ? value.map((item: unknown, index) => (String(index) === key ? other : item))
        : { ...value, [key]: other };
    const rest = Object.fromEntries(Object.entries(value).filter(([name]) => name !== key));
    return [
      ...ODD.map(put),
      ...mutations(inner).map(put),
      ...(Array.isArray(value)
        ? []
        : [rest, { ...rest, [`${key}x`]: inner }, { ...rest, 'a b': inner }]),
    ];
  });
}

/** As Firmtally reads YAML: a number without quotes is text where text belongs. */
function asRead(value: unknown, key = ''): unknown {
  if (Array.isArray(value)) return value.map((item) => asRead(item));
  if (typeof value === 'object' && value !== null) {
    return Object.fromEntries(
      Object.entries(value).map(([name, inner]) => [name, asRead(inner, name)]),
    );
  }
  if (typeof value === 'boolean') return String(value);
  const whole = ['firmtally', 'size', 'at-least'].includes(key) && Number.isSafeInteger(value);
  return typeof value === 'number' && !whole ? String(value) : value;
}

const documents = [
  SOUND,
  ...mutations(SOUND),
  ...readdirSync(golden, { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.(?:yaml|json)$/.test(name))
    // Ids that no id can be are told there as what they are: paths, file names, names of systems.
    .filter((name) => !/^unknown-\w+\/(?:paths|file-names|system-names)\.yaml$/.test(name))
    .flatMap((name) => {
      try {
        return [parse(readFileSync(golden + name, 'utf8'), { maxAliasCount: 1000 }) as unknown];
      } catch {
        return []; // not YAML, which is another matter
      }
    }),
]
  .filter((document) => typeof document === 'object' && document !== null)
  .map((document) => asRead(document));

const isManifest = new Ajv2020({ allowUnionTypes: true, strictSchema: false }).compile(
  JSON.parse(schemaText('manifest')) as object,
);
let ajvSays: readonly boolean[] = [];
beforeAll(() => {
  ajvSays = documents.map((document) => isManifest(document));
});

describe('the shape of a manifest', () => {
  it('is wrong to the command exactly when it is to the schema', async () => {
    expect(documents.length).toBeGreaterThan(500);
    const differ: unknown[] = [];
    for (const [index, document] of documents.entries()) {
      const { problems } = await readManifests([
        { path: 'm', bytes: new TextEncoder().encode(JSON.stringify(document)) },
      ]);
      const wrong = problems.some(
        ({ rule, severity }) => severity === 'error' && OF_SHAPE.has(rule),
      );
      if (wrong === ajvSays[index]) {
        differ.push([
          JSON.stringify(document).slice(0, 300),
          ajvSays[index],
          problems.map(({ rule }) => rule),
        ]);
      }
    }
    expect(differ).toEqual([]);
  });

  const hasPython = spawnSync('python3', ['-c', 'import jsonschema']).status === 0;
  it.skipIf(!hasPython)("is the same to Python's jsonschema (needs python3-jsonschema)", () => {
    const script = [
      'import json, sys, jsonschema',
      'given = json.load(sys.stdin)',
      'check = jsonschema.Draft202012Validator(given["schema"])',
      'json.dump([check.is_valid(each) for each in given["documents"]], sys.stdout)',
    ].join('\n');
    const { stdout, stderr } = spawnSync('python3', ['-c', script], {
      input: JSON.stringify({ schema: JSON.parse(schemaText('manifest')) as unknown, documents }),
      encoding: 'utf8',
      maxBuffer: 1 << 26,
    });
    expect(stderr).toBe('');
    const said = JSON.parse(stdout) as boolean[];
    const differ = documents.filter((_, index) => said[index] !== ajvSays[index]);
    expect(differ.map((each) => JSON.stringify(each))).toEqual([]);
  });
});
