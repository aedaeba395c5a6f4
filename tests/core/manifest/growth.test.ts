/**
 * Each kind of manifest here once took, or may take, time that grows faster
 * than the file. The oracle is growth itself: see support/growth.ts.
 */
import { formatProblems, readManifests } from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import { growth, MOST_GROWTH } from '../../support/growth.js';

const times = (n: number, make: (index: number) => string, between = ''): string =>
  Array.from({ length: n }, (_, index) => make(index)).join(between);
const hex = (index: number, digits: number): string => index.toString(16).padStart(digits, '0');
const head = 'firmtally: 1\n';
const system = (ids: string): string => `systems: {s: {requires: [${ids}]}}\n`;
const oneFirmware = (fields: string): string => `${head}firmware: {a: {${fields}}}\n${system('a')}`;

const KINDS: Readonly<Record<string, readonly [number, (n: number) => string]>> = {
  'lines of brackets that are never closed': [
    400,
    (n) => head + times(n, (i) => `a${i}: { b: [ }\n`),
  ],
  'quotes that are never closed': [500, (n) => head + `a"b: 'c\n`.repeat(n)],
  'a log': [1000, (n) => times(n, (i) => `2026-01-02 03:04 [info] firmware: "part ${i}\n`)],
  'aliases of nothing': [400, (n) => `${head}x:\n${times(n, (i) => `- &anc${i} v\n- *anx${i}\n`)}`],
  'a long text, repeated by aliases': [
    100,
    (n) => `${head}x: &x ${'y'.repeat(200 * n)}\n${system(times(n, () => '*x', ','))}`,
  ],
  'ids that are none': [1500, (n) => head + system(times(n, () => '_', ','))],
  'one id, again and again': [
    5000,
    (n) => `${head}firmware: {a: {path: a}}\n${system(times(n, () => 'a', ','))}`,
  ],
  'ids of nothing': [3000, (n) => head + system(times(n, (i) => `a${i}`, ','))],
  'ids nearly those of others': [
    600,
    (n) =>
      `${head}firmware:\n${times(n, (i) => `  ${'long-name-'.repeat(8)}${i}: {path: x${i}}\n`)}` +
      system(times(n, (i) => `${'long-name-'.repeat(8)}_${i}`, ',')),
  ],
  'keys of no meaning': [3000, (n) => head + times(n, (i) => `k${i}: 1\n`)],
  'a key, again and again': [3000, (n) => head + 'k: 1\n'.repeat(n)],
  'a size of many noughts': [
    25_000,
    (n) => oneFirmware(`path: a, dumps: [{size: ${'0'.repeat(n)}x}]`),
  ],
  'an id of many dashes': [25_000, (n) => head + system(`"b${'-'.repeat(n)}c"`)],
  'dumps of one entry': [
    1500,
    (n) => oneFirmware(`path: a, dumps: [${times(n, (i) => `{md5: ${hex(i + 1, 32)}}`, ',')}]`),
  ],
  'two entries of many dumps at one path': [
    800,
    (n) =>
      `${head}firmware:\n${times(
        2,
        (k) =>
          `  a${k}: {path: x, dumps: [${times(n, (i) => `{crc32: 1c2d3e4f, md5: ${hex(2 * i + k, 32)}}`, ',')}]}\n`,
      )}${system('a0, a1')}`,
  ],
  'two entries of many members at one path': [
    500,
    (n) =>
      `${head}firmware:\n${times(
        2,
        (k) =>
          `  a${k}: {path: x, members: [${times(n, (i) => `{path: m${i}, dumps: [{md5: ${hex(i + k, 32)}}]}`, ',')}]}\n`,
      )}${system('a0, a1')}`,
  ],
  'entries at one path': [
    1000,
    (n) =>
      `${head}firmware:\n${times(n, (i) => `  a${i}: {path: x, dumps: [{md5: ${hex(i, 32)}}]}\n`)}`,
  ],
  'a deep path': [25_000, (n) => oneFirmware(`path: "${'a/'.repeat(n)}b"`)],
  'loadouts with folders': [
    1500,
    (n) =>
      `${head}firmware:\n${times(n, (i) => `  a${i}: {path: x${i}}\n`)}systems:\n` +
      `${times(n, (i) => `  s${i}: {requires: [a${i}]}\n`)}loadouts:\n` +
      times(n, (i) => `  l${i}: {systems: [s${i}], folder: f${i}}\n`),
  ],
  'sound entries': [
    800,
    (n) =>
      `${head}firmware:\n${times(n, (i) => `  a${i}: {path: f/x${i}, dumps: [{size: 5, sha1: ${hex(i + 1, 40)}}]}\n`)}` +
      system(times(n, (i) => `a${i}`, ',')),
  ],
  'sound entries in JSON': [
    2000,
    (n) =>
      `{"firmtally":1,"firmware":{${times(n, (i) => `"a${i}":{"path":"x${i}"}`, ',')}},` +
      `"systems":{"s":{"requires":[${times(n, (i) => `"a${i}"`, ',')}]}}}`,
  ],
  tags: [2000, (n) => `${head}x:\n${'- !t v\n'.repeat(n)}`],
  tabs: [800, (n) => `${head}x:\n${'\t- a\n'.repeat(n)}`],
  documents: [1000, (n) => head + '---\na: 1\n'.repeat(n)],
  'control characters': [20_000, (n) => `${head}title: "${'\u0001'.repeat(n)}"\n`],
};

async function read(text: string): Promise<void> {
  const bytes = new TextEncoder().encode(text);
  const { problems } = await readManifests([{ path: 'm.yaml', bytes }]);
  formatProblems(problems, new Map([['m.yaml', bytes]]));
}

describe('time grows no faster than the file', () => {
  it.each(Object.entries(KINDS))('%s', async (_, [size, make]) => {
    expect(await growth((n) => read(make(n)), size)).toBeLessThan(MOST_GROWTH);
  });
});

describe('a large manifest', () => {
  it('with more marks than the memory for them is told so', async () => {
    const text = `${head}firmware: {a: {path: a}}\n${system('a,'.repeat(1_500_000))}`;
    const { problems } = await readManifests([
      { path: 'm.yaml', bytes: new TextEncoder().encode(text) },
    ]);
    expect(problems.map(({ rule }) => rule)).toEqual(['too-large']);
  });

  it('with a list of 150,000 ids is read', async () => {
    const text = `${head}firmware:\n${times(150_000, (i) => ` a${i}: {path: x${i}}\n`)}`.slice(
      0,
      300_000,
    );
    const lines = text.slice(0, text.lastIndexOf('\n') + 1);
    const { manifest } = await readManifests([
      {
        path: 'm.yaml',
        bytes: new TextEncoder().encode(`${lines}${system(times(150_000, () => 'a0', ','))}`),
      },
    ]);
    expect(manifest?.systems.get('s')?.requires).toHaveLength(150_000);
  });

  it('of loadouts that name a million entries is told so', async () => {
    const text =
      `${head}firmware:\n${times(2000, (i) => `  a${i}: {path: x${i}}\n`)}` +
      system(times(2000, (i) => `a${i}`, ',')) +
      `loadouts:\n${times(600, (i) => `  l${i}: {systems: [s], folder: f${i}}\n`)}`;
    const { problems } = await readManifests([
      { path: 'm.yaml', bytes: new TextEncoder().encode(text) },
    ]);
    expect(problems.map(({ rule, line }) => [rule, line])).toEqual([['loadout-limit', 2505]]);
  });
});
