/**
 * Drafts random folders and expects what is drafted to be a valid manifest that
 * finds that folder ready. Expected digests come from node:crypto and
 * node:zlib. The YAML is read by the yaml package too, in its YAML 1.1 and 1.2
 * schemas, and its bytes are held against YAML 1.2.2, 5.1 "Character Set".
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import {
  audit,
  hashWasmEngine,
  readManifests,
  type Drafted,
  type Entry,
  type FolderSource,
} from '@firmtally/core';
import { draftFiles, renderDraftJson, renderDraftYaml } from '@firmtally/core/internal';
import { digestsOf } from '../diagnose/support.js';

type Files = ReadonlyMap<string, Uint8Array>;

function memoryFolder(files: Files, others: readonly Entry[] = []): FolderSource {
  return {
    // eslint-disable-next-line @typescript-eslint/require-await -- asynchronous by contract
    list: async function* () {
      for (const [path, { length }] of files) yield { path, kind: 'file', size: length };
      yield* others;
    },
    // eslint-disable-next-line @typescript-eslint/require-await -- asynchronous by contract
    open: async function* (path) {
      yield files.get(path) ?? new Uint8Array();
    },
  };
}

function draft(files: Files, others: readonly Entry[] = [], name = 'card'): Promise<Drafted> {
  const folder = memoryFolder(files, others);
  return draftFiles([{ folder, kind: 'folder', name }], {
    platform: { engine: hashWasmEngine, archives: null },
  });
}

const name = fc.oneof(
  fc.string({ unit: 'grapheme', minLength: 1, maxLength: 12 }),
  fc.string({ unit: 'binary', minLength: 1, maxLength: 6 }),
  fc.constantFrom('no', 'null', '1e5', '00001234', '~', '- a', 'a: b', '# x', 'b.bin', 'B.BIN'),
  fc.constantFrom('é', 'e\u0301', 'x'.repeat(120), '__proto__', 'constructor', 'İ', 'ß.rom'),
);
/** Names a manifest can hold: the contract excludes these, and NFC twins would be one path. */
const holdable = name
  .map((text) => text.normalize('NFC'))
  .filter((text) => !/[/\\\0]|\p{Surrogate}|^\.{1,2}$|^[A-Za-z]:/u.test(text));
const folders = fc.array(
  fc.tuple(
    fc.array(holdable, { maxLength: 2 }),
    holdable,
    fc.uint8Array({ minLength: 1, maxLength: 9 }),
  ),
  { minLength: 1, maxLength: 12 },
);

/** No path twice, none that is also another's folder. */
function filesOf(rows: readonly (readonly [string[], string, Uint8Array])[]): Files {
  const files = new Map<string, Uint8Array>();
  for (const [folder, last, bytes] of rows) {
    const path = [...folder, last].join('/');
    const clashes = [...files.keys()].some(
      (other) => other === path || other.startsWith(`${path}/`) || path.startsWith(`${other}/`),
    );
    if (!clashes) files.set(path, bytes);
  }
  return files;
}

describe('drafting', () => {
  it('gives a valid manifest that finds the folder ready', async () => {
    await fc.assert(
      fc.asyncProperty(folders, name, async (rows, title) => {
        const files = filesOf(rows);
        const drafted = await draft(files, [], title);
        for (const text of [renderDraftYaml(drafted), renderDraftJson(drafted)]) {
          const bytes = new TextEncoder().encode(text);
          const { manifest, problems } = await readManifests([{ path: 'draft', bytes }]);
          expect(problems.filter(({ severity }) => severity === 'error')).toEqual([]);
          if (manifest === null) throw new Error('no manifest');
          expect([...manifest.firmware.values()].map(({ path }) => path).sort()).toEqual(
            [...files.keys()].sort(),
          );
          const folder = memoryFolder(files);
          const report = await audit(folder, {
            manifests: manifest,
            platform: { engine: hashWasmEngine, archives: null },
          });
          expect(report.totals.firmware.match).toBe(files.size);
          expect(report.systems.every(({ readiness }) => readiness === 'ready')).toBe(true);
        }
      }),
      { numRuns: 80, seed: 31 },
    );
  });

  it('is read the same by YAML 1.1 and YAML 1.2 tools, and holds printable characters only', async () => {
    // YAML 1.2.2 [1] c-printable, without the byte order mark, CR and NEL.
    const printable =
      /^[\t\n\x20-\x7e\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\u{10000}-\u{10ffff}]*$/u;
    await fc.assert(
      fc.asyncProperty(folders, async (rows) => {
        const files = filesOf(rows);
        const text = renderDraftYaml(await draft(files));
        expect(text).toMatch(printable);
        const expected = [...files].map(([path, bytes]) => ({
          path,
          dumps: [{ size: bytes.length, ...digestsOf(bytes, ['crc32', 'md5', 'sha1', 'sha256']) }],
        }));
        for (const version of ['1.1', '1.2'] as const) {
          const read = parse(text, { version }) as { firmware: Record<string, { path: string }> };
          const found = Object.values(read.firmware);
          const byPath = (a: { path: string }, b: { path: string }): number =>
            a.path < b.path ? -1 : 1;
          expect(found.sort(byPath)).toEqual(expected.sort(byPath));
        }
      }),
      { numRuns: 60, seed: 32 },
    );
  });
});

describe('a draft', () => {
  const bytes = Uint8Array.of(1, 2, 3);

  const fresh = { optional: [], known: false };

  it('names files by what tells them apart, and makes each folder a system', async () => {
    const paths = ['a/boot.bin', 'b/boot.bin', 'b/boot.rom', 'b/Font One.bin', 'top.bin', 'x/1/q'];
    const drafted = await draft(new Map(paths.map((path) => [path, bytes])));
    expect(drafted.firmware.map(({ id, path }) => [path, id])).toEqual([
      ['a/boot.bin', 'a-boot'],
      ['b/Font One.bin', 'font-one'],
      ['b/boot.bin', 'b-boot.bin'],
      ['b/boot.rom', 'boot.rom'],
      ['top.bin', 'top'],
      ['x/1/q', 'q'],
    ]);
    expect(drafted.systems).toEqual([
      { id: 'card', name: 'card', requires: ['top'], ...fresh },
      { id: 'a', name: 'a', requires: ['a-boot'], ...fresh },
      { id: 'b', name: 'b', requires: ['font-one', 'b-boot.bin', 'boot.rom'], ...fresh },
      { id: '1', name: 'x/1', requires: ['q'], ...fresh },
    ]);
  });

  it('says what it leaves out, and why', async () => {
    const files = new Map([
      ['good.bin', bytes],
      ['back\\slash', bytes],
      ['not-utf8-\udcff', bytes],
      ['C:x', bytes],
      ['empty.bin', new Uint8Array()],
    ]);
    const link = { resolvesTo: 'good.bin', fault: null };
    const drafted = await draft(files, [
      { path: 'link', kind: 'link', size: 3, link },
      { path: 'pipe', kind: 'fifo', size: 0 },
    ]);
    expect(drafted.firmware.map(({ path }) => path)).toEqual(['good.bin']);
    expect(drafted.leftOut.map(({ text }) => text)).toEqual([
      'C:x',
      'back\\slash',
      'empty.bin',
      'link',
      'not-utf8-\udcff',
      'pipe',
    ]);
    for (const { reason } of drafted.leftOut) expect(reason.text).toMatch(/^[A-Z].*\.$/);
  });

  it('refuses more files than a manifest can hold before it reads any', async () => {
    const files = new Map(Array.from({ length: 30_000 }, (_, index) => [`f${index}`, bytes]));
    await expect(draft(files)).rejects.toMatchObject({ code: 'usage' });
  });
});
