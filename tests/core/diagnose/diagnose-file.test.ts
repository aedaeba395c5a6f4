import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { DIAGNOSES, hashWasmEngine, memoryAccess, ReadError } from '@firmtally/core';
import {
  adviceForDiagnosis,
  applyRemedy,
  DETECTORS,
  diagnoseFile,
  type Diagnosis,
} from '@firmtally/core/internal';
import { writeZip } from '../../support/zip.js';
import { countingEngine, diagnose, dumpOf, firmwareOf, noise, textOf } from './support.js';

const dump = Buffer.from(noise(4096, 11));
const osprey = firmwareOf('osprey', [dumpOf(dump, { label: 'rev' })]);

describe('what the bytes say of themselves', () => {
  it('an empty file is empty', async () => {
    const found = await diagnose(Buffer.alloc(0), osprey);
    expect(found).toMatchObject({ kind: 'empty', proven: true, remedy: null });
  });

  it.each([0x00, 0xff])('all %i is blank, whatever its size', async (fill) => {
    for (const size of [1, 4095, 4096, 70_000]) {
      const found = await diagnose(Buffer.alloc(size, fill), osprey);
      expect(found).toMatchObject({ kind: 'blank', proven: true, firmware: null, remedy: null });
    }
  });

  it('one other byte, or another fill, is not blank', async () => {
    const last = Buffer.alloc(70_000, 0xff);
    last[69_999] = 0xfe;
    expect((await diagnose(last, osprey)).kind).toBe('unknown');
    expect((await diagnose(Buffer.alloc(4096, 0x55), osprey)).kind).toBe('unknown');
  });

  // WHATWG MIME Sniffing 7.1 (tags, white space, tag-terminating byte); WHATWG Encoding 6.1 (byte order marks).
  it.each([
    ['<!DOCTYPE html><html>', 'utf8'],
    ['\ufeff  \r\n\t<HTML lang="en">', 'utf8'],
    ['<hEaD >', 'utf8'],
    ['<script>location="/login"</script>', 'utf8'],
    ['\ufeff<html>', 'utf16le'],
    ['<?xml version="1.0"?>\n<!DOCTYPE html PUBLIC "x">\n<html xmlns="x">', 'utf8'],
    ['<!-- saved -->\n<html>', 'utf8'],
  ] as const)('%j is a web page', async (text, encoding) => {
    const found = await diagnose(Buffer.from(text, encoding), osprey);
    expect(found).toMatchObject({ kind: 'web-page', proven: true, remedy: null });
  });

  it.each(['<htmlx>', 'x<html>', '<?xml version="1.0"?><svg>', '<b>', 'Not Found', '<!-- x'])(
    '%j is none',
    async (text) => {
      expect((await diagnose(Buffer.from(text), osprey)).kind).toBe('truncated');
    },
  );
});

describe('other entries', () => {
  it('names the entry whose dump the file is', async () => {
    const other = noise(4096, 12);
    const kestrel = firmwareOf('kestrel', [dumpOf(other, { label: 'east' })]);
    const found = await diagnose(other, osprey, { others: [kestrel] });
    expect(found).toMatchObject({ kind: 'other-firmware', firmware: 'kestrel', dump: 'east' });
    expect(adviceForDiagnosis(found, osprey).text).toContain('kestrel');
  });

  it('names the entry whose members a ZIP holds', async () => {
    const member = noise(64, 13);
    const kestrel = firmwareOf('kestrel', [], [{ path: 'k1', dumps: [dumpOf(member)] }]);
    const zip = writeZip([{ name: 'k1', bytes: Buffer.from(member) }]);
    const found = await diagnose(zip, osprey, { others: [kestrel] });
    expect(found).toMatchObject({ kind: 'other-firmware', firmware: 'kestrel', dump: null });
  });
});

describe("a ZIP or gzip file whose header has the size of a copier's", () => {
  // APPNOTE 4.3.7: a local header is 30 bytes and the name, so that the stored dump begins at 32.
  const zip = writeZip([{ name: 'os', bytes: dump }]);

  it('is wrapped', async () => {
    expect(zip.subarray(32, 32 + dump.length).equals(dump)).toBe(true);
    for (const sized of [true, false]) {
      const found = await diagnose(zip, firmwareOf('osprey', [dumpOf(dump, { sized })]));
      expect(found).toMatchObject({
        kind: 'wrapped',
        proven: true,
        remedy: { kind: 'unzip', member: 'os' },
      });
    }
  });

  it('is wrapped inside another ZIP, too', async () => {
    const outer = writeZip([{ name: 'in.zip', bytes: zip }]);
    for (const sized of [true, false]) {
      const found = await diagnose(outer, firmwareOf('osprey', [dumpOf(dump, { sized })]));
      expect(found).toMatchObject({ kind: 'wrapped', remedy: { steps: [{}, { kind: 'unzip' }] } });
    }
  });

  it('is what its bytes say where it cannot be opened', async () => {
    const cut = zip.subarray(0, 32 + dump.length + 5);
    expect(await diagnose(cut, osprey)).toMatchObject({ kind: 'extra-header', proven: true });
  });
});

describe('truncated', () => {
  it('is any length below a dump, and never proven', async () => {
    for (const size of [1, 2048, 4095]) {
      const found = await diagnose(dump.subarray(0, size), osprey);
      expect(found).toMatchObject({ kind: 'truncated', proven: false, remedy: null });
      expect(textOf(found)).toContain(String(size));
    }
  });

  it('is not said when the size is a dump’s, or no dump gives one', async () => {
    const two = firmwareOf('osprey', [dumpOf(dump), dumpOf(noise(64, 2))]);
    expect((await diagnose(noise(64, 3), two)).kind).toBe('unknown');
    const sizeless = firmwareOf('osprey', [dumpOf(dump, { sized: false })]);
    expect((await diagnose(noise(64, 3), sizeless)).kind).toBe('unknown');
  });
});

describe('ambiguous bytes', () => {
  it('a longer run of one byte is padding, not a doubling or a header', async () => {
    const blank = firmwareOf('osprey', [dumpOf(Buffer.alloc(512, 0xff))]);
    const found = await diagnose(Buffer.alloc(1024, 0xff), blank);
    expect(found).toMatchObject({ kind: 'padded', remedy: { start: 0, end: 512 } });
  });

  it('a dump that ends in its padding byte keeps its own end when no size is given', async () => {
    // 1000 bytes and 24 of FF, a chip of 1 KiB, padded to 4 KiB.
    const chip = Buffer.concat([noise(1000, 4), Buffer.alloc(24, 0xff)]);
    const sizeless = firmwareOf('osprey', [dumpOf(chip, { sized: false })]);
    const found = await diagnose(Buffer.concat([chip, Buffer.alloc(3072, 0xff)]), sizeless);
    expect(found).toMatchObject({ kind: 'padded', remedy: { start: 0, end: 1024 } });
  });

  it('only the digests the manifest gives count', async () => {
    for (const algorithm of ['crc32', 'md5', 'sha1', 'sha256'] as const) {
      const one = firmwareOf('osprey', [dumpOf(dump, { only: [algorithm] })]);
      const found = await diagnose(Buffer.from(dump).swap16(), one);
      expect(found.kind).toBe('byte-swapped');
    }
    const wrongSha1 = {
      ...dumpOf(dump),
      digests: { ...dumpOf(dump).digests, sha1: '0'.repeat(40) },
    };
    const found = await diagnose(Buffer.from(dump).swap16(), firmwareOf('osprey', [wrongSha1]));
    expect(found.kind).toBe('unknown');
  });
});

describe('a ZIP judged by its members', () => {
  const one = Buffer.from(noise(256, 21));
  const two = Buffer.from(noise(128, 22));
  const kestrel = firmwareOf(
    'kestrel',
    [],
    [
      { path: 'k1.rom', dumps: [dumpOf(one, { label: 'first' })] },
      { path: 'k2.rom', dumps: [dumpOf(two)] },
    ],
  );
  const right = writeZip([
    { name: 'k1.rom', bytes: one },
    { name: 'k2.rom', bytes: two, deflate: true },
  ]);

  const cases: readonly (readonly [string, Buffer, Partial<Diagnosis>, RegExp])[] = [
    ['nothing', Buffer.alloc(0), { kind: 'empty', proven: true }, /empty/],
    ['a blank file', Buffer.alloc(600), { kind: 'blank', proven: true }, /00/],
    ['a web page', Buffer.from('<html>'), { kind: 'web-page', proven: true }, /web page/],
    ['a ZIP cut off', right.subarray(0, 300), { kind: 'truncated', proven: false }, /no end/],
    [
      'other bytes',
      Buffer.from(noise(500, 9)),
      { kind: 'unknown', proven: false },
      /^Not a ZIP that can be read: it has no end/,
    ],
    [
      'one of its members',
      one,
      { kind: 'unknown', proven: false },
      /member "k1\.rom" of kestrel, outside its ZIP/,
    ],
    [
      'gzip around it',
      gzipSync(right),
      { kind: 'wrapped', proven: true, firmware: 'kestrel', remedy: { kind: 'gunzip' } },
      /gzip/,
    ],
    [
      'a ZIP around it',
      writeZip([{ name: 'in/kestrel.ZIP', bytes: right }]),
      {
        kind: 'wrapped',
        proven: true,
        remedy: { kind: 'unzip', member: 'in/kestrel.ZIP', index: 0 },
      },
      /kestrel\.ZIP/,
    ],
    [
      'a member missing',
      writeZip([
        { name: 'k1.rom', bytes: one },
        { name: 'sub/K2.rom', bytes: two },
      ]),
      { kind: 'unknown', proven: false },
      /"k2\.rom" is not in the ZIP; "sub\/K2\.rom" is/,
    ],
    [
      'a member swapped',
      writeZip([
        { name: 'k1.rom', bytes: Buffer.from(one).swap16() },
        { name: 'k2.rom', bytes: two },
      ]),
      { kind: 'byte-swapped', proven: true, dump: 'first', remedy: null },
      /^Member "k1\.rom"/,
    ],
    [
      'members exchanged',
      writeZip([
        { name: 'k1.rom', bytes: two },
        { name: 'k2.rom', bytes: one },
      ]),
      { kind: 'other-firmware', proven: true, firmware: 'kestrel', remedy: null },
      /"k1\.rom" has the bytes of "k2\.rom"/,
    ],
    [
      'a member whose CRC-32 is wrong',
      writeZip([
        { name: 'k1.rom', bytes: one, says: { crc32: 1 } },
        { name: 'k2.rom', bytes: two },
      ]),
      { kind: 'unknown', proven: false },
      /^Member "k1\.rom" cannot be read: .*CRC/,
    ],
    [
      'an encrypted member (APPNOTE 4.4.4, bit 0)',
      writeZip([
        { name: 'k1.rom', bytes: one, deflate: true, says: { flags: 1 } },
        { name: 'k2.rom', bytes: two },
      ]),
      { kind: 'unknown', proven: false },
      /^Member "k1\.rom" cannot be read without a password\.$/,
    ],
    [
      'a member of a method that is not read (APPNOTE 4.4.5: 14 is LZMA)',
      writeZip([
        { name: 'k1.rom', bytes: one, says: { method: 14 } },
        { name: 'k2.rom', bytes: two },
      ]),
      { kind: 'unknown', proven: false },
      /^Member "k1\.rom" cannot be read: .*method 14; only stored and deflated are read\.$/,
    ],
  ];

  it.each(cases)('%s', async (_, bytes, expected, detail) => {
    const found = await diagnose(bytes, kestrel);
    expect(found).toMatchObject(expected);
    expect(textOf(found)).toMatch(detail);
    expect(adviceForDiagnosis(found, kestrel).text).toMatch(/^[A-Z].*\.$/);
  });

  it('advises to take the password off, not to look for damage', async () => {
    const locked = writeZip([{ name: 'k1.rom', bytes: one, deflate: true, says: { flags: 1 } }]);
    const advice = adviceForDiagnosis(await diagnose(locked, kestrel), kestrel);
    expect(advice).toMatchObject({ code: 'make-zip-again', because: 'encrypted' });
  });

  it('says so when ZIP files cannot be opened', async () => {
    const found = await diagnose(right, kestrel, { zip: false });
    expect(found.facts).toMatchObject([{ code: 'zip-not-opened' }]);
  });
});

describe('bounds', () => {
  it('of a larger file only size and first bytes are looked at', async () => {
    const limits = { wholeFileBytes: 1000 };
    const padded = Buffer.concat([dump, Buffer.alloc(10)]);
    const found = await diagnose(padded, osprey, { limits });
    expect(found).toMatchObject({ kind: 'unknown', proven: false });
    expect((await diagnose(dump.subarray(0, 2000), osprey, { limits })).kind).toBe('truncated');
  });

  it('a gzip bomb is given up at the limit', async () => {
    const bomb = gzipSync(Buffer.alloc(8 << 20));
    const found = await diagnose(bomb, osprey, { limits: { inflatedBytes: 1 << 20 } });
    expect(found).toMatchObject({ kind: 'unknown', proven: false });
  });

  it('damaged gzip data is no reason to fail', async () => {
    const zipped = gzipSync(dump);
    const cut = await diagnose(zipped.subarray(0, 2000), osprey);
    expect(cut.proven).toBe(false);
    zipped[zipped.length - 6] = (zipped[zipped.length - 6] ?? 0) ^ 1; // CRC-32 (RFC 1952, 2.3.1)
    expect((await diagnose(zipped, osprey)).proven).toBe(false);
  });

  it('no more is hashed than allowed', async () => {
    const { engine, passes, bytes } = countingEngine();
    const found = await diagnoseFile({
      content: memoryAccess(noise(5000, 8)),
      firmware: firmwareOf('osprey', [dumpOf(dump, { sized: false })]),
      known: null,
      platform: { engine, archives: null },
      limits: { hashPasses: 5, hashedBytes: 12_000 },
    });
    expect(found.kind).toBe('unknown');
    expect(found.facts.map(({ code }) => code)).toContain('bounds-reached');
    expect(passes()).toBeGreaterThan(0);
    expect(passes()).toBeLessThanOrEqual(5);
    expect(bytes()).toBeLessThanOrEqual(12_000);
  });

  it('a file that changes meanwhile is an error, not a diagnosis', async () => {
    const content = {
      size: 5000,
      read: async function* () {
        yield await Promise.resolve(noise(10, 8));
      },
    };
    const running = diagnoseFile({
      content,
      firmware: osprey,
      known: null,
      platform: { engine: hashWasmEngine, archives: null },
    });
    await expect(running).rejects.toBeInstanceOf(ReadError);
  });
});

describe('remedies that do not fit', () => {
  it.each([
    { kind: 'slice', start: 0, end: 11 } as const,
    { kind: 'interleave' } as const,
    { kind: 'gunzip' } as const,
    { kind: 'unzip', member: 'x', index: 0 } as const,
  ])('$kind is refused', async (remedy) => {
    const bytes = noise(remedy.kind === 'slice' ? 10 : 9, 1);
    await expect(applyRemedy(bytes, remedy, null)).rejects.toBeInstanceOf(ReadError);
  });

  it('leave the input as it was', async () => {
    const bytes = Buffer.from([1, 2, 3, 4]);
    for (const remedy of [
      { kind: 'swap', unit: 2 },
      { kind: 'slice', start: 1, end: 3 },
    ] as const) {
      const result = await applyRemedy(bytes, remedy, null);
      result.fill(9);
      expect([...bytes]).toEqual([1, 2, 3, 4]);
    }
  });
});

it('every diagnosis has its detector, but unknown', () => {
  const named = DETECTORS.map(({ name }) => name);
  expect([...named, 'unknown'].sort()).toEqual([...DIAGNOSES].sort());
  for (const { description } of DETECTORS) expect(description).toMatch(/^[A-Z].*\.$/);
});
