import fc from 'fast-check';
import { ReadError, type Entry, type FolderSource, type Listed } from '@firmtally/core';
import { buildInventory, buildListing, foldCase, Inventory } from '@firmtally/core/internal';
import { describe, expect, it } from 'vitest';
import { MemoryFolder } from '../../support/memory-folder.js';

function inventoryOf(...paths: string[]): Inventory {
  return new Inventory(paths.map((path): Entry => ({ path, kind: 'file', size: path.length })));
}

const pathsOf = (entries: readonly Entry[]): string[] => entries.map((entry) => entry.path);

describe('Inventory', () => {
  it('sorts by UTF-8 bytes, as Buffer.compare does', () => {
    // U+FF61 is EF BD A1, U+1F0A1 is F0 9F 82 A1: in UTF-16 the order is the reverse.
    const inventory = inventoryOf('b', '\u{1f0a1}', '｡', 'B', 'a/b', 'a');
    expect(pathsOf(inventory.entries)).toEqual(['B', 'a', 'a/b', 'b', '｡', '\u{1f0a1}']);
    const names = fc.array(fc.string({ unit: 'binary', minLength: 1, maxLength: 6 }));
    fc.assert(
      fc.property(names, (paths) => {
        const expected = [...paths].sort((a, b) => Buffer.compare(Buffer.from(a), Buffer.from(b)));
        expect(pathsOf(inventoryOf(...paths).entries)).toEqual(expected);
      }),
      { seed: 11 },
    );
  });

  it('finds a path in NFC, the same code points first (UAX #15)', () => {
    const composed = 'caf\u00e9.bin';
    const decomposed = 'cafe\u0301.bin';
    expect(inventoryOf(decomposed).get(composed)?.path).toBe(decomposed);
    expect(inventoryOf(composed).get(decomposed)?.path).toBe(composed);
    expect(inventoryOf(composed, decomposed).get(decomposed)?.path).toBe(decomposed);
    expect(inventoryOf(composed, decomposed).get(composed)?.path).toBe(composed);
    expect(inventoryOf('cafe.bin').get(composed)).toBeUndefined();
  });

  it('finds what differs in letter case only, anywhere in the path', () => {
    const inventory = inventoryOf('fw/A.bin', 'FW/a.BIN', 'fw/a.bin', 'fw/b.bin', 'a.bin');
    expect(pathsOf(inventory.equalButForCase('fw/a.bin'))).toEqual(['FW/a.BIN', 'fw/A.bin']);
    expect(inventory.equalButForCase('fw/b.bin')).toEqual([]);
    // CaseFolding.txt, status C: U+03A3, U+03C3 and U+03C2 all fold to U+03C3.
    expect(pathsOf(inventoryOf('Σ', 'ς').equalButForCase('σ'))).toEqual(['Σ', 'ς']);
    // The same name composed differently is the same name, not another case of it.
    expect(inventoryOf('cafe\u0301').equalButForCase('caf\u00e9')).toEqual([]);
    expect(pathsOf(inventoryOf('CAFE\u0301').equalButForCase('caf\u00e9'))).toHaveLength(1);
  });

  it('lists by size only what can be read', () => {
    const inventory = new Inventory([
      { path: 'a', kind: 'file', size: 3 },
      { path: 'c', kind: 'link', size: 3, link: { resolvesTo: 'a', fault: null } },
      { path: 'b', kind: 'file', size: 3 },
      { path: 'd', kind: 'link', size: 0, link: { resolvesTo: null, fault: 'broken-link' } },
      { path: 'e', kind: 'folder', size: 0 },
      { path: 'f', kind: 'file', size: 0 },
    ]);
    expect(pathsOf(inventory.bySize(3))).toEqual(['a', 'b', 'c']);
    expect(pathsOf(inventory.bySize(0))).toEqual(['f']);
    expect(inventory.bySize(7)).toEqual([]);
  });

  it('finds the same by size however many sizes are asked for', () => {
    const inventory = inventoryOf('a', 'bb', 'cc', 'ddd', 'eeee');
    const ask = (): string[][] => [1, 2, 3, 4, 5].map((size) => pathsOf(inventory.bySize(size)));
    const first = ask();
    expect(first).toEqual([['a'], ['bb', 'cc'], ['ddd'], ['eeee'], []]);
    expect(ask()).toEqual(first);
  });

  it('agrees with a plain search over random paths', () => {
    const part = fc.constantFrom('a', 'A', 'b', 'B', 'é', 'e\u0301', 'É', 'a b', '\u{1f0a1}');
    const path = fc.array(part, { minLength: 1, maxLength: 3 }).map((parts) => parts.join('/'));
    const nfc = (text: string): string => text.normalize('NFC');
    fc.assert(
      fc.property(fc.uniqueArray(path, { maxLength: 30 }), path, (paths, asked) => {
        const inventory = inventoryOf(...paths);
        const sorted = pathsOf(inventory.entries);
        expect(inventory.get(asked)?.path).toBe(
          sorted.find((one) => one === asked) ??
            sorted.find((one) => one === nfc(asked)) ??
            sorted.find((one) => nfc(one) === nfc(asked)),
        );
        expect(pathsOf(inventory.equalButForCase(asked))).toEqual(
          sorted.filter((one) => foldCase(one) === foldCase(asked) && nfc(one) !== nfc(asked)),
        );
        expect(pathsOf(inventory.below(asked))).toEqual(
          sorted.filter((one) => nfc(one).startsWith(`${nfc(asked)}/`)),
        );
        expect(pathsOf(inventory.inFolder(asked))).toEqual(
          sorted.filter((one) => nfc(one.split('/').slice(0, -1).join('/')) === nfc(asked)),
        );
        const name = asked.split('/').at(-1) ?? '';
        expect(pathsOf(inventory.byFoldedName(name))).toEqual(
          sorted.filter((one) => foldCase(one.split('/').at(-1) ?? '') === foldCase(name)),
        );
      }),
      { seed: 12, numRuns: 300 },
    );
  });

  it('keeps faults of the listing', async () => {
    const fault = { path: 'z', code: 'permission-denied', message: 'no' } as const;
    const inventory = await buildInventory(new MemoryFolder({ a: 'x' }, { listFaults: [fault] }));
    expect(inventory.faults).toEqual([fault]);
    expect(pathsOf(inventory.entries)).toEqual(['a']);
  });

  it('holds a hundred thousand entries', () => {
    const paths = Array.from(
      { length: 100_000 },
      (_, i) => `games/${String(i % 100)}/file${String(i)}.osp`,
    );
    const inventory = inventoryOf(...paths);
    expect(inventory.get('games/7/file7.osp')?.path).toBe('games/7/file7.osp');
    expect(inventory.inFolder('games/7')).toHaveLength(1000);
    expect(pathsOf(inventory.equalButForCase('games/7/FILE7.osp'))).toEqual(['games/7/file7.osp']);
  });
});

describe('a listing whose sizes are looked up later', () => {
  /** Answers from a list; counts how often it is asked. */
  function source(
    stat: (path: string) => number | ReadError,
    asked: string[] = [],
    answersLater = false,
  ): FolderSource {
    const kinds = { a: 'file', b: 'file', 'd/c': 'file', d: 'folder', p: 'fifo' } as const;
    const size = ({ path, kind }: Listed): Entry => {
      asked.push(path);
      const found = stat(path);
      if (found instanceof ReadError) throw found;
      return { path, kind, size: found };
    };
    return {
      open: () => {
        throw new Error('nothing is to be opened');
      },
      list: () => {
        throw new Error('names were to be listed');
      },
      names: {
        // eslint-disable-next-line @typescript-eslint/require-await -- a listing is async by its type
        async *list() {
          for (const [path, kind] of Object.entries(kinds)) yield { path, kind };
        },
        stat: answersLater ? (entry) => Promise.resolve(entry).then(size) : size,
      },
    };
  }

  it.each([false, true])(
    'asks for no size until it is wanted, and once (later: %s)',
    async (later) => {
      const asked: string[] = [];
      const listing = await buildListing(source((path) => path.length, asked, later));
      const entry = listing.get('d/c') ?? expect.fail('it was listed');
      expect(asked).toEqual([]);
      const sized = await listing.sized(entry);
      expect(sized).toEqual({ path: 'd/c', kind: 'file', size: 3 });
      expect(asked).toEqual(['d/c']);
      const all = await listing.sizes();
      expect(asked).toEqual(['d/c', 'a', 'b']);
      expect(all.get('d/c')).toBe(sized);
      expect(await listing.sizes()).toBe(all);
      expect(pathsOf(all.bySize(1))).toEqual(['a', 'b']);
      expect(all.get('p')).toEqual({ path: 'p', kind: 'fifo', size: 0 });
    },
  );

  it.each([-1, NaN, 1.5])('refuses %s as a size, and names the path', async (size) => {
    const listing = await buildListing(source((path) => (path === 'b' ? size : 1)));
    const error = { code: 'source-invalid', message: expect.stringContaining('"b"') as unknown };
    await expect(listing.sizes()).rejects.toMatchObject(error);
    const entry = listing.get('b') ?? expect.fail('it was listed');
    await expect(listing.sized(entry)).rejects.toMatchObject(error);
  });

  it('refuses a size that is told of another path', async () => {
    const good = source(() => 1);
    const names = good.names ?? expect.fail('it has names');
    const listing = await buildListing({
      ...good,
      names: { ...names, stat: (entry) => ({ ...entry, path: 'other', size: 1 }) },
    });
    await expect(listing.sizes()).rejects.toMatchObject({ code: 'source-invalid' });
  });

  it.each([false, true])(
    'leaves out what is gone; the rest that fails is a fault (later: %s)',
    async (later) => {
      const listing = await buildListing(
        source(
          (path) =>
            path === 'a'
              ? new ReadError('vanished', 'it is gone')
              : path === 'b'
                ? new ReadError('io-error', 'the drive failed')
                : 7,
          [],
          later,
        ),
      );
      const all = await listing.sizes();
      expect(pathsOf(all.entries)).toEqual(['d', 'd/c', 'p']);
      expect(all.faults).toEqual([{ path: 'b', code: 'io-error', message: 'the drive failed' }]);
      const gone = listing.get('a') ?? expect.fail('it was listed');
      await expect(listing.sized(gone)).rejects.toMatchObject({ code: 'vanished' });
    },
  );

  it('finds other spellings alike before and after it has an index of names', async () => {
    const paths = [
      'a/Boot.BIN',
      'A/boot.bin',
      'a/boot.bin',
      'a/b\u014dot.bin',
      'a/Bo\u004f\u0304t.bin',
      'a/\u212A.bin',
    ];
    const folder = new MemoryFolder(Object.fromEntries(paths.map((path) => [path, 'x'])));
    for (const path of ['a/boot.bin', 'a/b\u014cot.bin', 'a/k.bin', 'a/none.bin']) {
      const listing = await buildListing(folder);
      const asked = Array.from({ length: 9 }, () =>
        listing.equalButForCase(path).map((one) => one.path),
      );
      expect(new Set(asked.map(String)).size).toBe(1);
      expect(asked[0]).toEqual(
        [...paths]
          .sort()
          .filter(
            (one) =>
              one !== path &&
              foldCase(one) === foldCase(path) &&
              one.normalize('NFC') !== path.normalize('NFC'),
          ),
      );
    }
  });

  it('stops when told to, and can be asked again', async () => {
    const listing = await buildListing(source(() => 1));
    const reason = new Error('enough');
    await expect(listing.sizes({ signal: AbortSignal.abort(reason) })).rejects.toBe(reason);
    expect((await listing.sizes()).entries).toHaveLength(5);
  });

  it('has the sizes at once where the source gives no other listing', async () => {
    const listing = await buildListing(new MemoryFolder({ a: 'xy' }));
    const entry = listing.get('a') ?? expect.fail('it was listed');
    expect(await listing.sized(entry)).toMatchObject({ size: 2 });
    expect((await listing.sizes()).bySize(2)).toHaveLength(1);
  });
});
