import type { Algorithm, Dump, Firmware } from '@firmtally/core';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { dumpOf, expected, firmware } from '../../support/entries.js';
import { judge } from '../../support/judge.js';
import { makeZip } from '../../support/zip.js';
import type { MemoryItem } from '../../support/memory-folder.js';
import { oracleVerdict } from '../../support/oracle/verdict-oracle.js';

// Few names and contents, so that they meet often.
const name = fc.constantFrom('a.bin', 'A.bin', 'a.BIN', 'b.bin', 'B.bin', 'c.zip', 'C.zip');
const folderName = fc.constantFrom('', 'fw/', 'FW/', 'old/', 'fw/sub/');
const path = fc.tuple(folderName, name).map(([folder, file]) => folder + file);
const content = fc.constantFrom('', 'one', 'two', 'three', 'seven', 'eleven!');
const algorithms = fc.subarray<Algorithm>(['crc32', 'md5', 'sha1', 'sha256'], { minLength: 1 });
const dump: fc.Arbitrary<Dump> = fc
  .record({
    bytes: content,
    size: fc.boolean(),
    algorithms,
    label: fc.constantFrom('p', 'q', 'r'),
  })
  .map(({ bytes, ...options }) => dumpOf(bytes, options));
const sizeOnly: fc.Arbitrary<Dump> = content.map((bytes) => ({ ...dumpOf(bytes), digests: {} }));
const anyDump = fc.oneof({ weight: 5, arbitrary: dump }, { weight: 1, arbitrary: sizeOnly });
const dumps = fc.array(anyDump, { maxLength: 3 });
const members = fc.uniqueArray(
  fc.record({
    path: fc.constantFrom('m1', 'm2'),
    dumps: fc.array(anyDump, { minLength: 1, maxLength: 2 }),
  }),
  { selector: (member) => member.path, minLength: 1, maxLength: 2 },
);
const entries: fc.Arbitrary<Firmware[]> = fc
  .array(
    fc.record({
      path,
      case: fc.constantFrom('exact' as const, 'ignore' as const),
      dumps,
      members: fc.option(members, { freq: 3 }),
    }),
    { minLength: 1, maxLength: 4 },
  )
  .map((all) =>
    all.map((one, index) =>
      firmware(`f${String(index)}`, { ...one, dumps: one.members === null ? one.dumps : [] }),
    ),
  );

const zipFiles = fc.dictionary(fc.constantFrom('m1', 'm2', 'm3'), content);
type Made = MemoryItem | { readonly zip: Readonly<Record<string, string>> };
const item: fc.Arbitrary<Made> = fc.oneof(
  { weight: 6, arbitrary: content },
  { weight: 2, arbitrary: zipFiles.map((zip) => ({ zip })) },
  {
    weight: 1,
    arbitrary: fc.constantFrom<Made>({ kind: 'folder' }, { kind: 'fifo' }, { outside: true }),
  },
  { weight: 1, arbitrary: path.map((link) => ({ link })) },
);
const tree = fc.dictionary(path, item, { maxKeys: 8 });

function build(made: Readonly<Record<string, Made>>): {
  items: Map<string, MemoryItem>;
  zips: Map<string, Map<string, Uint8Array>>;
} {
  const items = new Map<string, MemoryItem>();
  const zips = new Map<string, Map<string, Uint8Array>>();
  for (const [at, one] of Object.entries(made)) {
    if (typeof one === 'object' && 'zip' in one) {
      const files = Object.entries(one.zip).map(
        ([file, text]) => [file, Buffer.from(text)] as const,
      );
      items.set(at, makeZip(files.map(([file, bytes]) => ({ path: file, bytes }))));
      zips.set(at, new Map(files));
    } else items.set(at, one);
  }
  return { items, zips };
}

describe('verdicts', () => {
  it('are those of a slow oracle written from the rules', async () => {
    const seen = new Set<string>();
    await fc.assert(
      fc.asyncProperty(
        entries,
        tree,
        fc.boolean(),
        fc.integer({ min: 1, max: 5 }),
        async (all, made, wide, jobs) => {
          const { items, zips } = build(made);
          const { verdicts, folder } = await judge(items, all, { wide, jobs });
          const wanted = all.map(expected);
          for (const [index, one] of wanted.entries()) {
            const {
              verdict,
              foundAt,
              dump: label,
            } = oracleVerdict(one, wanted, items, { wide, zips });
            expect(verdicts[index]).toMatchObject({ verdict, foundAt, dump: label });
            seen.add(verdict);
          }
          expect(Math.max(0, ...folder.digested.values())).toBeLessThanOrEqual(1);
        },
      ),
      { seed: 20, numRuns: 700 },
    );
    expect(seen.size).toBe(7); // every verdict was met
  });
});
