import { readFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import {
  digestStream,
  hashWasmEngine,
  identify,
  ReadError,
  type Entry,
  type Fault,
  type Firmware,
  type IdentificationDocument,
  type Manifest,
  type PileSource,
} from '@firmtally/core';
import { PILE_LIMITS } from '@firmtally/core/internal';
import { zipReader } from '@firmtally/host/internal';
import { writeZip } from '../../support/zip.js';
import { dumpOf, firmwareOf, manifestOf, noise } from '../diagnose/support.js';

// JSON Schema draft 2020-12, by ajv: strict also means that the schema itself is checked.
const schema = new URL('../../../data-schemas/identification.schema.json', import.meta.url);
const isDocument = new Ajv2020({ strict: true, allowUnionTypes: true }).compile(
  JSON.parse(readFileSync(schema, 'utf8')) as object,
);

const boot = Buffer.from(noise(2048, 1));
const font = Buffer.from(noise(512, 2));
const one = Buffer.from(noise(256, 3));
const two = Buffer.from(noise(128, 4));

const FIRMWARE: readonly Firmware[] = [
  firmwareOf('boot', [dumpOf(boot, { label: 'rev B' })]),
  firmwareOf('boot-too', [dumpOf(boot, { only: ['sha1'], sized: false })]),
  firmwareOf('font', [dumpOf(font)]),
  { ...firmwareOf('splash', []), path: 'art/splash.bin' },
  {
    ...firmwareOf(
      'chips',
      [],
      [
        { path: 'k1', dumps: [dumpOf(one)] },
        { path: 'k2', dumps: [dumpOf(two)] },
      ],
    ),
    path: 'chips.zip',
  },
];

const LOCATION = { file: 'invented.yaml', line: 1, column: 1, endLine: 1, endColumn: 2 };
const SYSTEM = { folders: [], case: 'exact', location: LOCATION } as const;

const MANIFEST: Manifest = {
  ...manifestOf(FIRMWARE),
  systems: new Map([
    [
      'tern',
      { ...SYSTEM, id: 'tern', name: 'Tern', requires: [{ firmware: 'boot' }], optional: ['font'] },
    ],
    [
      'avocet',
      {
        ...SYSTEM,
        id: 'avocet',
        name: 'A',
        requires: [{ anyOf: ['boot', 'boot-too'] }],
        optional: [],
      },
    ],
  ]),
};

interface Pile extends PileSource {
  /** Paths that were hashed as files, in any order. */
  readonly hashed: string[];
}

function pileOf(
  files: Readonly<Record<string, Uint8Array>>,
  options: {
    readonly others?: readonly (Entry | Fault)[];
    readonly broken?: string;
    readonly shown?: string;
  } = {},
): Pile {
  const hashed: string[] = [];
  const open = async function* (path: string, range?: { start: number; end: number }) {
    await Promise.resolve();
    if (path === options.broken) throw new ReadError('permission-denied', 'no permission');
    const bytes = files[path] ?? new Uint8Array();
    yield range === undefined ? bytes : bytes.subarray(range.start, range.end);
  };
  const entries = async function* (): AsyncGenerator<Entry | Fault> {
    await Promise.resolve();
    for (const [path, { length }] of Object.entries(files))
      yield { path, kind: 'file', size: length };
    yield* options.others ?? [];
  };
  return {
    name: options.shown ?? 'pile',
    kind: 'folder',
    folder: {
      list: entries,
      open,
      digestFile: (path, algorithms) => {
        hashed.push(path);
        return digestStream(open(path), algorithms, hashWasmEngine);
      },
    },
    hashed,
  };
}

async function identified(
  sources: readonly PileSource[],
  manifest: Manifest = MANIFEST,
): Promise<IdentificationDocument> {
  const document = await identify(sources, {
    manifests: manifest,
    platform: { engine: hashWasmEngine, archives: zipReader },
  });
  expect(isDocument(JSON.parse(JSON.stringify(document))), JSON.stringify(isDocument.errors)).toBe(
    true,
  );
  return document;
}

/** The rows as `path[!member]` -> what was found. */
function found(document: IdentificationDocument): Record<string, string> {
  return Object.fromEntries(
    document.files.map(({ path, inside, firmware, diagnosis, nearest }) => [
      path + inside.map((step) => `!${step.kind === 'unzip' ? step.member : ''}`).join(''),
      firmware.length > 0
        ? firmware.map(({ id }) => id).join('+')
        : `${diagnosis ?? '-'} ${nearest ?? '-'}`,
    ]),
  );
}

describe('identifyPile', () => {
  it('says of a loose file that is nothing known that it may be left', async () => {
    const { files } = await identified([pileOf({ 'font.bin': Buffer.from(noise(512, 77)) })]);
    expect(files[0]).toMatchObject({
      diagnosis: 'unknown',
      nearest: 'font',
      facts: [{ code: 'wrong-bytes', size: 512 }],
      advice: { code: 'look-for-revision' },
    });
  });

  it('recognises by content under any name, with every entry and its systems', async () => {
    const document = await identified([pileOf({ 'a/z.dat': boot, 'font.bin': font })]);
    expect(document.files).toEqual([
      {
        path: 'pile/a/z.dat',
        inside: [],
        size: 2048,
        digests: dumpOf(boot, { only: ['crc32', 'md5', 'sha1'] }).digests,
        firmware: [
          { id: 'boot', dump: 'rev B', systems: ['avocet', 'tern'] },
          { id: 'boot-too', dump: '#1', systems: ['avocet'] },
        ],
        diagnosis: null,
        nearest: null,
        facts: [],
        advice: null,
      },
      expect.objectContaining({
        path: 'pile/font.bin',
        firmware: [{ id: 'font', dump: '#1', systems: ['tern'] }],
      }),
    ]);
    expect(document.totals).toEqual({
      files: 2,
      recognised: 2,
      needAttention: 0,
      unrelated: 0,
      notExamined: 0,
    });
  });

  it('diagnoses what has an entry’s name, also as browsers and file managers change it', async () => {
    const half = boot.subarray(0, 1000);
    const document = await identified([
      pileOf({
        'x/BOOT.BIN': half,
        'boot (1).bin': half,
        'boot - Copy.bin': half,
        'boot.bin.gz': gzipSync(boot),
        'boot.txt': Buffer.from('<html>'),
        'font.rom': Buffer.concat([noise(9000), font]),
        'splash.bin': noise(10),
        'bootleg.bin': half,
      }),
    ]);
    expect(found(document)).toEqual({
      'pile/x/BOOT.BIN': 'truncated boot',
      'pile/boot (1).bin': 'truncated boot',
      'pile/boot - Copy.bin': 'truncated boot',
      'pile/boot.bin.gz!': 'boot+boot-too',
      'pile/boot.txt': '- -',
      'pile/font.rom': 'extra-header font',
      'pile/splash.bin': '- splash',
      'pile/bootleg.bin': '- -',
    });
  });

  it('diagnoses by size alone only what it can prove', async () => {
    const document = await identified([
      pileOf({
        '1': Buffer.from(font).swap16(),
        '2': Buffer.concat([font, font]),
        '3': Buffer.concat([noise(16), font]),
        '4': Buffer.concat([boot, Buffer.alloc(6144, 0xff)]),
        '5.gz': gzipSync(boot),
        '6': noise(512, 99),
        '7': Buffer.alloc(512),
        '8': font.subarray(0, 500),
        '9': Buffer.concat([font, font, font]),
      }),
    ]);
    expect(found(document)).toEqual({
      'pile/1': 'byte-swapped font',
      'pile/2': 'doubled font',
      'pile/3': 'extra-header font',
      'pile/4': 'padded boot',
      'pile/5.gz!': 'boot+boot-too',
      'pile/6': '- -',
      'pile/7': '- -',
      'pile/8': '- -',
      'pile/9': 'doubled font',
    });
    const doubled = document.files.find(({ diagnosis }) => diagnosis === 'doubled');
    expect(doubled).toMatchObject({
      facts: [{ code: 'repeated', times: 2 }],
      advice: { code: 'repair', correction: 'only-once' },
    });
  });

  it('looks into ZIP files, and into those in them', async () => {
    const inner = writeZip([{ name: 'deep.bin', bytes: boot }]);
    const document = await identified([
      pileOf({
        'mixed.zip': writeZip([
          { name: 'sub/b', bytes: boot, deflate: true },
          { name: 'font.bin', bytes: Buffer.from(font).swap32() },
          { name: 'k1', bytes: one },
          { name: 'read.me', bytes: Buffer.from('x') },
          { name: 'inner.zip', bytes: inner },
        ]),
        'good.zip': writeZip([
          { name: 'k2', bytes: two },
          { name: 'k1', bytes: one, deflate: true },
          { name: 'extra', bytes: Buffer.from('x') },
        ]),
        'chips.zip': writeZip([{ name: 'k1', bytes: one }]),
        'dull.zip': writeZip([{ name: 'x', bytes: Buffer.from('x') }]),
        'k2.rom': two,
      }),
    ]);
    expect(found(document)).toEqual({
      'pile/mixed.zip!sub/b': 'boot+boot-too',
      'pile/mixed.zip!font.bin': 'word-swapped font',
      'pile/mixed.zip!k1': '- chips',
      'pile/mixed.zip!read.me': '- -',
      'pile/mixed.zip!inner.zip!deep.bin': 'boot+boot-too',
      'pile/good.zip': 'chips',
      'pile/chips.zip': 'unknown chips',
      'pile/dull.zip': '- -',
      'pile/k2.rom': '- chips',
    });
  });

  it('knows a ZIP by its first bytes (APPNOTE 4.3.7), whatever its name', async () => {
    const zip = writeZip([
      { name: 'b', bytes: boot },
      { name: 'f', bytes: font },
      { name: 'x', bytes: Buffer.from('x') },
    ]);
    const sized = manifestOf(FIRMWARE.filter(({ id }) => id !== 'boot-too'));
    for (const manifest of [MANIFEST, sized]) {
      const rows = found(await identified([pileOf({ 'a.dat': zip })], manifest));
      expect(Object.keys(rows)).toEqual(['pile/a.dat!b', 'pile/a.dat!f', 'pile/a.dat!x']);
      expect(rows['pile/a.dat!f']).toBe('font');
    }
  });

  it('of a dump without a size, finds a doubled or gzipped copy under any name', async () => {
    const manifest = manifestOf([firmwareOf('loon', [dumpOf(boot, { sized: false })])]);
    const files = {
      '1': Buffer.concat([boot, boot]),
      '2.dat': gzipSync(boot),
      '3': Buffer.concat([boot, noise(2048, 6)]),
      '4': Buffer.alloc(4096),
      '5': noise(3, 7),
    };
    const document = await identified([pileOf(files)], manifest);
    expect(found(document)).toEqual({
      'pile/1': 'doubled loon',
      'pile/2.dat!': 'loon',
      'pile/3': '- -',
      'pile/4': '- -',
      'pile/5': '- -',
    });
    expect(document.totals.notExamined).toBe(0);
  });

  it('counts files that look doubled but are too many to examine', async () => {
    const manifest = manifestOf([firmwareOf('loon', [dumpOf(boot, { sized: false })])]);
    const twice = (seed: number): Buffer => Buffer.concat([noise(9, seed), noise(9, seed)]);
    const files = Object.fromEntries(
      Array.from({ length: PILE_LIMITS.examinedBySize + 3 }, (_, n) => [String(n), twice(n)]),
    );
    const { totals } = await identified([pileOf(files)], manifest);
    expect(totals.notExamined).toBe(3);
  });

  it('keeps faults apart from files, and one bad member from the others', async () => {
    const document = await identified([
      pileOf(
        {
          'locked.bin': noise(2048, 5),
          'bad.zip': writeZip([
            { name: 'hurt', bytes: font, says: { method: 99 } },
            { name: 'well', bytes: boot },
          ]),
        },
        {
          broken: 'locked.bin',
          others: [
            { path: 'pipe', kind: 'fifo', size: 0 },
            {
              path: 'away',
              kind: 'link',
              size: 0,
              link: { resolvesTo: null, fault: 'outside-root' },
            },
            { path: 'shut', code: 'permission-denied', message: 'It cannot be listed.' },
          ],
        },
      ),
    ]);
    expect(document.faults.map(({ path, code }) => [path, code])).toEqual([
      ['pile/bad.zip', 'bad-archive'],
      ['pile/locked.bin', 'permission-denied'],
      ['pile/pipe', 'not-a-file'],
      ['pile/shut', 'permission-denied'],
    ]);
    expect(document.faults[0]?.message).toMatch(/^Member "hurt": .*\.$/);
    expect(found(document)).toEqual({ 'pile/bad.zip!well': 'boot+boot-too' });
  });

  it('hashes only what can matter', async () => {
    const sized = manifestOf(FIRMWARE.filter(({ id }) => id === 'font'));
    const pile = pileOf({ a: noise(511), b: noise(512), c: noise(100_000) });
    await identified([pile], sized);
    expect(pile.hashed).toEqual(['b']);
  });

  it('examines a bounded number of files for their size, and says how many it did not', async () => {
    const files = Object.fromEntries(
      Array.from({ length: PILE_LIMITS.examinedBySize + 5 }, (_, n) => [
        `f${n}`,
        noise(1024, n + 50),
      ]),
    );
    const document = await identified(
      [pileOf(files)],
      manifestOf([firmwareOf('font', [dumpOf(font)])]),
    );
    expect(document.totals).toMatchObject({ unrelated: Object.keys(files).length, notExamined: 5 });
  });

  it('sorts by UTF-8 and is the same whatever the order of listing', async () => {
    const names = ['\u{1f600}', '\ue000', 'b', 'B', 'a/b', 'a.b'];
    const listing = (order: string[]): PileSource =>
      pileOf(Object.fromEntries(order.map((name) => [name, font])));
    const first = await identified([listing(names)]);
    const second = await identified([listing([...names].reverse())]);
    expect(second).toEqual(first);
    const bytes = first.files.map(({ path }) => Buffer.from(path));
    expect([...bytes].sort((a, b) => Buffer.compare(a, b))).toEqual(bytes);
  });
});
