/** What a search costs grows with what there is, not with its square. Counted in steps, as times depend on the machine. */
import type { Archive, ArchiveReader, ContentSource, Dump, Entry, Firmware } from '@firmtally/core';
import {
  buildInventory,
  examineFound,
  Inventory,
  judgeFirmware,
  KnownDumps,
  searchSources,
} from '@firmtally/core/internal';
import { zipReader } from '@firmtally/host/internal';
import { describe, expect, it } from 'vitest';
import { expected, firmware } from '../../support/entries.js';
import { MemoryFolder, nodeHashes } from '../../support/memory-folder.js';
import { writeZip } from '../../support/zip.js';
import { dumpOf, noise } from '../diagnose/support.js';

/** Four times as much may take this many times as many steps: sorting adds a little to four. */
const FOURFOLD = 6;

/** Entries whose dumps count how often somebody looks at their digests. */
function countedEntries(count: number): { entries: Firmware[]; steps: () => number } {
  let steps = 0;
  const entries = Array.from({ length: count }, (_, index) => {
    const plain = dumpOf(Buffer.from(`entry ${String(index)}`), { sized: false });
    const dump: Dump = {
      ...plain,
      get digests() {
        steps++;
        return plain.digests;
      },
    };
    return firmware(`e${String(index)}`, { path: `fw/e${String(index)}.bin`, dumps: [dump] });
  });
  return { entries, steps: () => steps };
}

function filesIn(folder: string, count: number): Record<string, string> {
  return Object.fromEntries(
    Array.from({ length: count }, (_, index) => [
      `${folder}/f${String(index)}`,
      `file ${String(index)}`,
    ]),
  );
}

describe('entries without a size, beside many files', () => {
  it('the judge', async () => {
    const run = async (size: number): Promise<number> => {
      const { entries, steps } = countedEntries(size);
      const folder = new MemoryFolder(filesIn('fw', 4 * size));
      await judgeFirmware({
        expected: entries.map(expected),
        inventory: await buildInventory(folder),
        folder,
        platform: { engine: nodeHashes, archives: null },
      });
      expect(Math.max(...folder.digested.values())).toBe(1);
      return steps();
    };
    expect(await run(400)).toBeLessThan(FOURFOLD * (await run(100)));
  });

  it('a search of a pile', async () => {
    const run = async (size: number): Promise<number> => {
      const { entries, steps } = countedEntries(size);
      const folder = new MemoryFolder(filesIn('pile', 4 * size));
      const { entries: listed } = await buildInventory(folder);
      await searchSources({
        sources: [{ name: 'pile', entries: listed, content: folder }],
        known: new KnownDumps(entries),
        platform: { engine: nodeHashes, archives: null },
      });
      return steps();
    };
    expect(await run(400)).toBeLessThan(FOURFOLD * (await run(100)));
  });
});

/** Counts members read. */
function countingReader(): { reader: ArchiveReader; reads: () => number } {
  let reads = 0;
  const reader: ArchiveReader = {
    open: async (bytes) => {
      const archive: Archive = await zipReader.open(bytes);
      return {
        ...archive,
        read: (member) => {
          reads++;
          return archive.read(member);
        },
      };
    },
  };
  return { reader, reads: () => reads };
}

describe('many ZIPs and many entries that want one', () => {
  const SIDE = 20;
  const bytesOf = (index: number): Buffer => Buffer.from(noise(20, index + 1));
  const entries = Array.from({ length: SIDE }, (_, index) =>
    firmware(`z${String(index)}`, {
      path: `fw/${String(index)}/chips.zip`,
      members: [
        { path: 'k1', dumps: [dumpOf(bytesOf(index))] },
        { path: 'k2', dumps: [dumpOf(bytesOf(1000))] },
      ],
    }),
  );
  const zips = Object.fromEntries(
    Array.from({ length: SIDE }, (_, index) => [
      `old/${String(index)}/chips.zip`,
      writeZip([
        { name: 'k1', bytes: bytesOf(index) },
        { name: 'k2', bytes: bytesOf(1000) },
      ]),
    ]),
  );

  it('the judge inflates each member once', async () => {
    const { reader, reads } = countingReader();
    const folder = new MemoryFolder(zips);
    const { verdicts } = await judgeFirmware({
      expected: entries.map(expected),
      inventory: await buildInventory(folder),
      folder,
      platform: { engine: nodeHashes, archives: reader },
    });
    expect(new Set(verdicts.map(({ verdict }) => verdict))).toEqual(new Set(['misplaced']));
    expect(reads()).toBe(2 * SIDE);
  });

  it('so does a search', async () => {
    const { reader, reads } = countingReader();
    const folder = new MemoryFolder(zips);
    const { entries: listed } = await buildInventory(folder);
    const { found } = await searchSources({
      sources: [{ name: 'pile', entries: listed, content: folder }],
      known: new KnownDumps(entries),
      platform: { engine: nodeHashes, archives: reader },
    });
    expect(found.filter(({ zipFor }) => zipFor.length > 0)).toHaveLength(SIDE);
    expect(reads()).toBe(2 * SIDE);
  });
});

it('130,000 candidates of one size are no more than the stack holds', async () => {
  const entries = Array.from({ length: 130_000 }, (_, index): Entry => ({
    path: `f/${String(index)}`,
    kind: 'file',
    size: 5,
  }));
  const dump = dumpOf(Buffer.from('right'));
  const wrong = { size: 5, digests: dumpOf(Buffer.from('wrong')).digests };
  let digested = 0;
  const folder: ContentSource = {
    open: (path) => expect.fail(path),
    digestFile: () => {
      digested++;
      return Promise.resolve(wrong);
    },
  };
  const { verdicts } = await judgeFirmware({
    expected: [expected(firmware('boot', { path: 'boot.bin', dumps: [dump] }))],
    inventory: new Inventory(entries),
    folder,
    platform: { engine: nodeHashes, archives: null },
  });
  expect(verdicts[0]?.verdict).toBe('missing');
  expect(digested).toBe(entries.length);
});

it('a name of 100,000 copy marks is looked at like any other', async () => {
  const name = `boot${' (1)'.repeat(100_000)}.bin`;
  const folder = new MemoryFolder({ [name]: 'short' });
  const { entries } = await buildInventory(folder);
  const boot = firmware('boot', { path: 'boot.bin', dumps: [dumpOf(noise(20))] });
  const known = new KnownDumps([boot]);
  const { found } = await searchSources({
    sources: [{ name: 'pile', entries, content: folder }],
    known,
    platform: { engine: nodeHashes, archives: null },
  });
  const { examined } = await examineFound({
    found,
    firmware: [boot],
    known,
    platform: { engine: nodeHashes, archives: null },
  });
  expect([...examined.values()]).toMatchObject([{ diagnosis: { kind: 'truncated' } }]);
});
