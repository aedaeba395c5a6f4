/**
 * Damages random dumps in each way and expects the damage named and undone.
 * The damages are done by other code than undoes them: POSIX dd's `conv=swab`
 * (checked against the tool below), Buffer.swap16/swap32, string replacement,
 * node:zlib (RFC 1952) and a ZIP writer after PKWARE's APPNOTE 6.3.10.
 */
import { execFileSync } from 'node:child_process';
import { gzipSync } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { DiagnosisKind } from '@firmtally/core';
import { writeZip } from '../../support/zip.js';
import { diagnose, dumpOf, firmwareOf, noise, undo } from './support.js';

const RUNS = { numRuns: 60, seed: 20_260 };

/** A dump with enough in it that no damage leaves it as it was. */
const dumps = fc
  .tuple(fc.integer({ min: 4, max: 200 }), fc.integer({ min: 1, max: 1_000_000 }))
  .map(([quarter, seed]) => Buffer.from(noise(quarter * 4, seed)));

interface Damage {
  readonly kind: DiagnosisKind;
  readonly name: string;
  readonly apply: (dump: Buffer, parameter: number) => Buffer;
  /** Whether it is still found when the manifest gives no size. */
  readonly sizeless: boolean;
}

const even = (dump: Buffer): Buffer => Buffer.from(dump.filter((_, index) => index % 2 === 0));
const odd = (dump: Buffer): Buffer => Buffer.from(dump.filter((_, index) => index % 2 === 1));
const mix = (a: Buffer, b: Buffer): Buffer =>
  Buffer.from([...a].flatMap((byte, index) => [byte, b[index] ?? 0]));
const replace = (dump: Buffer, from: RegExp, to: string): Buffer =>
  Buffer.from(dump.toString('latin1').replace(from, to), 'latin1');
const half = (dump: Buffer, which: 0 | 1): Buffer =>
  dump.subarray((which * dump.length) / 2, ((which + 1) * dump.length) / 2);
const header = (n: number): Buffer => Buffer.from(noise(n, n + 7));

const DAMAGES: readonly Damage[] = [
  {
    kind: 'padded',
    name: 'padding of 00',
    apply: (dump, n) => Buffer.concat([dump, Buffer.alloc(n)]),
    sizeless: true,
  },
  {
    kind: 'padded',
    name: 'padding of FF',
    apply: (dump, n) => Buffer.concat([dump, Buffer.alloc(n, 0xff)]),
    sizeless: true,
  },
  {
    kind: 'padded',
    name: 'a trailer that is no fill',
    apply: (dump, n) => Buffer.concat([dump, header(n + 2)]),
    sizeless: false,
  },
  {
    kind: 'extra-header',
    name: 'a header of any size',
    apply: (dump, n) => Buffer.concat([header(n), dump]),
    sizeless: false,
  },
  {
    kind: 'extra-header',
    name: 'a header of 512',
    apply: (dump) => Buffer.concat([header(512), dump]),
    sizeless: true,
  },
  {
    kind: 'extra-header',
    name: 'a header of 128 and padding',
    apply: (dump, n) => Buffer.concat([header(128), dump, Buffer.alloc(n)]),
    sizeless: false,
  },
  {
    kind: 'byte-swapped',
    name: '16-bit swap',
    apply: (d) => Buffer.from(d).swap16(),
    sizeless: true,
  },
  {
    kind: 'word-swapped',
    name: '32-bit swap',
    apply: (d) => Buffer.from(d).swap32(),
    sizeless: true,
  },
  {
    kind: 'word-swapped',
    name: '16-bit halves exchanged',
    apply: (d) => Buffer.from(d).swap32().swap16(),
    sizeless: true,
  },
  { kind: 'doubled', name: 'twice', apply: (d) => Buffer.concat([d, d]), sizeless: true },
  {
    kind: 'doubled',
    name: 'four times',
    apply: (d) => Buffer.concat([d, d, d, d]),
    sizeless: true,
  },
  {
    kind: 'halves-interleaved',
    name: 'even and odd bytes apart',
    apply: (dump) => Buffer.concat([even(dump), odd(dump)]),
    sizeless: true,
  },
  {
    kind: 'halves-interleaved',
    name: 'odd and even bytes apart',
    apply: (dump) => Buffer.concat([odd(dump), even(dump)]),
    sizeless: true,
  },
  {
    kind: 'halves-interleaved',
    name: 'halves mixed',
    apply: (dump) => mix(half(dump, 0), half(dump, 1)),
    sizeless: true,
  },
  {
    kind: 'halves-interleaved',
    name: 'halves mixed, second first',
    apply: (dump) => mix(half(dump, 1), half(dump, 0)),
    sizeless: true,
  },
  { kind: 'wrapped', name: 'gzip', apply: (dump) => gzipSync(dump), sizeless: true },
  {
    kind: 'wrapped',
    name: 'ZIP, deflated',
    apply: (bytes) => writeZip([{ name: 'x/inner.rom', bytes, deflate: true }]),
    sizeless: true,
  },
  {
    kind: 'wrapped',
    name: 'ZIP, stored, among others',
    apply: (bytes, n) =>
      writeZip([
        { name: 'read.txt', bytes: header(n) },
        { name: 'inner.rom', bytes },
      ]),
    sizeless: true,
  },
  {
    kind: 'wrapped',
    name: 'gzip around padding',
    apply: (dump, n) => gzipSync(Buffer.concat([dump, Buffer.alloc(n)])),
    sizeless: true,
  },
  {
    kind: 'wrapped',
    name: 'ZIP around a 16-bit swap',
    apply: (dump) => writeZip([{ name: 'inner', bytes: Buffer.from(dump).swap16() }]),
    sizeless: true,
  },
];

describe('each damage to a random dump is named and undone', () => {
  for (const sized of [true, false]) {
    const damages = DAMAGES.filter(({ sizeless }) => sized || sizeless);
    it.each(damages)(
      `$name, ${sized ? 'size given' : 'no size given'}`,
      async ({ kind, apply }) => {
        await fc.assert(
          fc.asyncProperty(dumps, fc.integer({ min: 1, max: 300 }), async (dump, parameter) => {
            const damaged = apply(dump, parameter);
            fc.pre(!damaged.equals(dump));
            const firmware = firmwareOf('osprey', [dumpOf(dump, { label: 'rev', sized })]);
            const found = await diagnose(damaged, firmware);
            expect(found).toMatchObject({ kind, proven: true, firmware: 'osprey', dump: 'rev' });
            expect(Buffer.from(await undo(damaged, found)).equals(dump)).toBe(true);
          }),
          RUNS,
        );
      },
    );
  }
});

describe('line endings', () => {
  const text = fc
    .array(fc.constantFrom('\n', '\r\n', '\r', 'ab', 'cde', '\0', '\xff'), { minLength: 1 })
    .map((parts) => parts.join(''));
  const conversions = [
    // Windows text mode: every LF gets a CR, whatever stands before it.
    { name: 'LF to CR LF', from: /\n/g, to: '\r\n', undoable: () => true },
    { name: 'CR LF to LF', from: /\r\n/g, to: '\n', undoable: (t: string) => !/(?<!\r)\n/.test(t) },
    { name: 'LF to CR', from: /\n/g, to: '\r', undoable: (t: string) => !t.includes('\r') },
  ];

  it.each(conversions)('$name', async ({ from, to, undoable }) => {
    await fc.assert(
      fc.asyncProperty(text, fc.boolean(), async (content, sized) => {
        fc.pre(undoable(content) && from.test(content));
        from.lastIndex = 0;
        // Ends in bytes that rule out a shorter explanation.
        const dump = Buffer.concat([Buffer.from(content, 'latin1'), noise(9, content.length + 1)]);
        fc.pre(undoable(dump.toString('latin1')));
        const damaged = replace(dump, from, to);
        const found = await diagnose(damaged, firmwareOf('osprey', [dumpOf(dump, { sized })]));
        expect(found).toMatchObject({ proven: true, firmware: 'osprey' });
        expect(Buffer.from(await undo(damaged, found)).equals(dump)).toBe(true);
        // A line ending at the very front is also one extra byte before the dump.
        if (!/^[\r\n]/.test(content)) expect(found.kind).toBe('text-mangled');
      }),
      RUNS,
    );
  });
});

describe('no false claim', () => {
  it('random bytes of any size are never given a proven diagnosis', async () => {
    await fc.assert(
      fc.asyncProperty(
        dumps,
        fc.uint8Array({ minLength: 1, maxLength: 1200 }),
        fc.boolean(),
        async (dump, bytes, sized) => {
          fc.pre(bytes.some((byte) => byte !== 0) && bytes.some((byte) => byte !== 0xff));
          const other = firmwareOf('kestrel', [dumpOf(noise(64, 5), { sized })]);
          const firmware = firmwareOf('osprey', [dumpOf(dump, { sized })]);
          const found = await diagnose(bytes, firmware, { others: [other] });
          expect(found).toMatchObject({ proven: false, firmware: null, dump: null, remedy: null });
          expect(['truncated', 'unknown']).toContain(found.kind);
          if (found.kind === 'truncated') expect(bytes.length).toBeLessThan(dump.length);
        },
      ),
      { ...RUNS, numRuns: 200 },
    );
  });

  it('one flipped bit is never explained away', async () => {
    await fc.assert(
      fc.asyncProperty(dumps, fc.nat(), async (dump, at) => {
        const damaged = Buffer.from(dump);
        const index = at % dump.length;
        damaged[index] = (damaged[index] ?? 0) ^ 1;
        const found = await diagnose(damaged, firmwareOf('osprey', [dumpOf(dump)]));
        expect(found).toMatchObject({ kind: 'unknown', proven: false });
      }),
      RUNS,
    );
  });

  it('bytes that a rearrangement leaves as they are do not count as rearranged', async () => {
    for (const dump of [Buffer.alloc(64, 0x5a), Buffer.from('aabbccdd'.repeat(8), 'hex')]) {
      const found = await diagnose(dump, firmwareOf('osprey', [dumpOf(dump)]));
      expect(found).toMatchObject({ kind: 'unknown', proven: false });
    }
  });
});

describe('the outside tools agree', () => {
  it('undoes `dd conv=swab` (POSIX: the last of an odd number of bytes is kept by GNU dd)', async () => {
    for (const size of [64, 65]) {
      const dump = Buffer.from(noise(size, 3));
      const damaged = execFileSync('dd', ['conv=swab', 'status=none'], { input: dump });
      const found = await diagnose(damaged, firmwareOf('osprey', [dumpOf(dump)]));
      expect(found.kind).toBe('byte-swapped');
      expect(Buffer.from(await undo(damaged, found)).equals(dump)).toBe(true);
    }
  });

  it('unwraps what GNU gzip writes, also with a name and in two members (RFC 1952, 2.2)', async () => {
    const dump = Buffer.from(noise(5000, 4));
    const zipped = (bytes: Buffer): Buffer => execFileSync('gzip', ['-9'], { input: bytes });
    for (const damaged of [
      zipped(dump),
      Buffer.concat([zipped(dump.subarray(0, 1000)), zipped(dump.subarray(1000))]),
    ]) {
      const found = await diagnose(damaged, firmwareOf('osprey', [dumpOf(dump)]));
      expect(found).toMatchObject({ kind: 'wrapped', remedy: { kind: 'gunzip' } });
      expect(Buffer.from(await undo(damaged, found)).equals(dump)).toBe(true);
    }
  });
});
