/**
 * Whatever files there are and however a list of them is written: the manifest
 * drafted from the list finds each of them right. The lists come from writers
 * that share no code with the reader (tests/fuzz/list-writer.ts), digests from
 * node:crypto and node:zlib.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readManifests } from '@firmtally/core';
import { draftLists, foldCase, writeDraft } from '@firmtally/core/internal';
import { digestsOf } from '../../fuzz/contents.js';
import {
  SHAPES,
  writeJson,
  writeLines,
  type RowModel,
  type WrittenList,
} from '../../fuzz/list-writer.js';
import { Random } from '../../fuzz/random.js';
import { judge } from '../../support/judge.js';

const part = fc
  .oneof(
    fc.string({ unit: 'grapheme', minLength: 1, maxLength: 12 }),
    fc.stringMatching(/^[a-z]{1,8}( [A-Z(][a-z)]{0,6})?\.(bin|rom|[0-9]{1,3})$/),
    fc.constantFrom(
      'no',
      '1e5',
      '00001234',
      'deadbeef',
      '- a.bin',
      'a, b.bin',
      'a; b.bin',
      'a|b',
      '"q".bin',
    ),
    fc.constantFrom(
      '`x`.bin',
      '__proto__',
      'MD5 (x)',
      'size 12.bin',
      'e\u0301.bin',
      '<b>.bin',
      'x  y.bin',
      "it's.bin",
    ),
  )
  .map((text) => text.normalize('NFC'))
  .filter((text) => !/[/\\\0]|\p{Surrogate}|^\.{1,2}$|^[A-Za-z]:/u.test(text));

const files = fc.array(
  fc.record({
    folders: fc.array(part, { maxLength: 2 }),
    name: part,
    // The first lies on the card, the others are further dumps.
    contents: fc.uniqueArray(fc.uint8Array({ minLength: 1, maxLength: 40 }), {
      minLength: 1,
      maxLength: 3,
      selector: (bytes) => Buffer.from(bytes).toString('hex'),
    }),
    sized: fc.boolean(),
    label: fc.option(fc.constantFrom('East', 'revision B, West'), { nil: null }),
    system: fc.option(fc.constantFrom('Osprey 8', 'Kestrel'), { nil: null }),
    optional: fc.option(fc.boolean(), { nil: null }),
  }),
  { minLength: 1, maxLength: 8 },
);
type Files = typeof files extends fc.Arbitrary<infer Value> ? Value : never;

/** Rows for every dump, and what lies on the card; no path that a manifest could not hold beside the others. */
function rowsOf(made: Files): { rows: RowModel[]; card: Map<string, Uint8Array> } {
  const card = new Map<string, Uint8Array>();
  const rows: RowModel[] = [];
  for (const { folders, name, contents, sized, label, system, optional } of made) {
    const path = [...folders, name].join('/');
    const key = foldCase(path);
    const taken = [...card.keys()].map(foldCase);
    if (
      taken.some(
        (other) => other === key || other.startsWith(`${key}/`) || key.startsWith(`${other}/`),
      )
    )
      continue;
    card.set(path, contents[0] ?? new Uint8Array());
    for (const bytes of contents) {
      rows.push({
        path,
        size: sized ? bytes.length : null,
        digests: digestsOf(bytes),
        label,
        system,
        optional,
      });
    }
  }
  return { rows, card };
}

async function expectMatches(
  list: WrittenList,
  card: ReadonlyMap<string, Uint8Array>,
): Promise<void> {
  const drafted = draftLists([{ path: 'posted.txt', bytes: Buffer.from(list.text) }]);
  const said = new Set(list.rows.map(({ path }) => path));
  expect(drafted.firmware.map(({ path }) => path).sort()).toEqual([...said].sort());
  expect(
    drafted.leftOut
      .flatMap(({ line, endLine }) => [line, endLine])
      .filter((line) => !list.unused.includes(line ?? 0)),
  ).toEqual([]);
  if (said.size === 0) return;
  for (const format of ['yaml', 'json'] as const) {
    const text = await writeDraft(drafted, { format });
    const { manifest } = await readManifests([{ path: 'm', bytes: Buffer.from(text) }]);
    const { verdicts } = await judge(card, [...(manifest?.firmware.values() ?? [])]);
    expect(verdicts.map(({ verdict }) => verdict)).toEqual(verdicts.map(() => 'match'));
    expect(verdicts).toHaveLength(said.size);
  }
}

describe('a manifest drafted from a list finds the files', () => {
  it.each(SHAPES.map((shape) => [shape.name, shape] as const))('%s', async (_name, shape) => {
    await fc.assert(
      fc.asyncProperty(files, fc.integer(), async (made, seed) => {
        const { rows, card } = rowsOf(made);
        const random = new Random(seed);
        const fitting = rows.flatMap((row) => shape.fit(row, random) ?? []);
        await expectMatches(writeLines([[shape, fitting]], random), card);
      }),
      { numRuns: 25, seed: 41 },
    );
  });

  it('JSON', async () => {
    await fc.assert(
      fc.asyncProperty(files, fc.integer(), async (made, seed) => {
        const { rows, card } = rowsOf(made);
        await expectMatches(writeJson(rows, new Random(seed)), card);
      }),
      { numRuns: 25, seed: 42 },
    );
  });
});

describe('a list given as a manifest by mistake', () => {
  const { rows } = rowsOf(
    ['osprey_boot.bin', 'Kestrel (East).rom', 'tern.v2.zip'].map((name, index) => ({
      folders: index === 2 ? ['bios'] : [],
      name,
      contents: [Uint8Array.of(index)],
      sized: true,
      label: null,
      system: null,
      optional: null,
    })),
  );
  const expectTold = async (text: string): Promise<void> => {
    const { problems } = await readManifests([{ path: 'posted.txt', bytes: Buffer.from(text) }]);
    expect(problems.map(({ rule }) => rule)).toEqual(['posted-list']);
  };

  it.each(SHAPES.map((shape) => [shape.name, shape] as const))('%s', async (_name, shape) => {
    const random = new Random(1);
    const fitting = rows.flatMap((row) => shape.fit(row, random) ?? []);
    await expectTold(writeLines([[shape, fitting]], random).text);
  });

  it('JSON', () => expectTold(writeJson(rows, new Random(1)).text));
});
