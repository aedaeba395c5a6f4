import type { Fact, Firmware, FirmwareVerdict } from '@firmtally/core';
import { fact } from '@firmtally/core/internal';
import { describe, expect, it } from 'vitest';
import { dumpOf, firmware } from '../../support/entries.js';
import { judgeOne } from '../../support/judge.js';
import { digestsOf, type MemoryItem } from '../../support/memory-folder.js';

const GOOD = 'good bytes';
const BAD = 'evil bytes'; // of the same size
const boot = firmware('boot', { path: 'fw/boot.bin', dumps: [dumpOf(GOOD)] });
const ignoring = { ...boot, case: 'ignore' as const };
const unsized = { ...boot, dumps: [dumpOf(GOOD, { size: false })] };
const sizeOnly = { ...boot, dumps: [{ ...dumpOf(GOOD), digests: {} }] };
const LINK = (path: string): Fact => fact('read-through-link', { path });
const presence = firmware('splash', { path: 'fw/splash.bin' });

interface Row {
  readonly why: string;
  readonly entry: Firmware;
  readonly items: Readonly<Record<string, MemoryItem>>;
  readonly wide?: boolean;
  readonly is: Pick<FirmwareVerdict, 'verdict' | 'foundAt'> & Partial<FirmwareVerdict>;
}

const steps: Readonly<Record<string, readonly Row[]>> = {
  'step 1: the expected path': [
    {
      why: 'right bytes',
      entry: boot,
      items: { 'fw/boot.bin': GOOD },
      is: { verdict: 'match', foundAt: 'fw/boot.bin', dump: '#1', judged: 'fw/boot.bin', size: 10 },
    },
    {
      why: 'wrong bytes of the right size',
      entry: boot,
      items: { 'fw/boot.bin': BAD },
      is: { verdict: 'mismatch', foundAt: 'fw/boot.bin', dump: null, size: 10 },
    },
    {
      why: 'a size that no dump has: hashed all the same, as the size may be the manifest’s slip',
      entry: boot,
      items: { 'fw/boot.bin': 'short' },
      is: {
        verdict: 'mismatch',
        foundAt: 'fw/boot.bin',
        size: 5,
        digests: digestsOf(Buffer.from('short'), ['crc32', 'md5', 'sha1']),
      },
    },
    {
      why: 'only a size, and this one: unverified',
      entry: sizeOnly,
      items: { 'fw/boot.bin': BAD, 'a.bin': GOOD },
      is: { verdict: 'unverified', proven: false, foundAt: 'fw/boot.bin', dump: null, size: 10 },
    },
    {
      why: 'only a size, and another one; nothing is looked for elsewhere',
      entry: sizeOnly,
      items: { 'fw/boot.bin': 'short', 'a.bin': GOOD },
      is: { verdict: 'mismatch', foundAt: 'fw/boot.bin' },
    },
    {
      why: 'only a size beside a dump with digests: the digests go first',
      entry: { ...boot, dumps: [...sizeOnly.dumps, dumpOf(GOOD, { label: 'x' })] },
      items: { 'fw/boot.bin': GOOD },
      is: { verdict: 'match', foundAt: 'fw/boot.bin', dump: 'x' },
    },
    {
      why: 'a mismatch stays one, and names the right bytes elsewhere',
      entry: boot,
      items: { 'fw/boot.bin': BAD, 'old/b.bin': GOOD, 'old/a.bin': GOOD },
      is: { verdict: 'mismatch', foundAt: 'old/a.bin', judged: 'fw/boot.bin', dump: null },
    },
    {
      why: 'a mismatch names a right one that differs in case',
      entry: boot,
      items: { 'fw/boot.bin': BAD, 'fw/BOOT.bin': GOOD },
      is: { verdict: 'mismatch', foundAt: 'fw/BOOT.bin' },
    },
    {
      why: 'exact case goes before another case',
      entry: boot,
      items: { 'fw/BOOT.bin': BAD, 'fw/boot.bin': GOOD },
      is: { verdict: 'match', foundAt: 'fw/boot.bin' },
    },
    {
      why: 'presence only',
      entry: presence,
      items: { 'fw/splash.bin': 'x' },
      is: { verdict: 'unverified', foundAt: 'fw/splash.bin', size: 1 },
    },
    ...(['folder', 'fifo', 'socket', 'device', 'unknown'] as const).map((kind) => ({
      why: `a ${kind} there, though the right bytes lie elsewhere`,
      entry: boot,
      items: { 'fw/boot.bin': { kind }, 'a.bin': GOOD },
      is: { verdict: 'unreadable' as const, foundAt: 'fw/boot.bin', size: null },
    })),
    {
      why: 'a link out of the root',
      entry: boot,
      items: { 'fw/boot.bin': { outside: true } },
      is: { verdict: 'unreadable', foundAt: 'fw/boot.bin' },
    },
    {
      why: 'a link to nothing',
      entry: presence,
      items: { 'fw/splash.bin': { link: 'nothing' } },
      is: { verdict: 'unreadable', foundAt: 'fw/splash.bin' },
    },
    {
      why: 'a link to a folder',
      entry: boot,
      items: { 'fw/boot.bin': { link: 'd' }, d: { kind: 'folder' } },
      is: { verdict: 'unreadable', foundAt: 'fw/boot.bin' },
    },
    {
      why: 'a link inside the root is read as its target, and said so',
      entry: boot,
      items: { 'fw/boot.bin': { link: 'x/real.bin' }, 'x/real.bin': GOOD },
      is: {
        verdict: 'match',
        foundAt: 'fw/boot.bin',
        facts: [LINK('x/real.bin')],
      },
    },
    {
      why: 'a file that cannot be read',
      entry: boot,
      items: { 'fw/boot.bin': { unreadable: 'permission-denied', size: 10 } },
      is: { verdict: 'unreadable', foundAt: 'fw/boot.bin', size: null, digests: null },
    },
    {
      why: 'the same name in another normal form is the same path',
      entry: { ...boot, path: 'fw/caf\u00e9.bin' },
      items: { 'fw/cafe\u0301.bin': GOOD },
      is: { verdict: 'match', foundAt: 'fw/cafe\u0301.bin', expectedPath: 'fw/caf\u00e9.bin' },
    },
  ],
  'step 2: a path equal but for letter case': [
    {
      why: 'right bytes',
      entry: boot,
      items: { 'FW/Boot.BIN': GOOD },
      is: { verdict: 'miscased', foundAt: 'FW/Boot.BIN', dump: '#1', judged: 'FW/Boot.BIN' },
    },
    {
      why: 'a presence-only entry',
      entry: presence,
      items: { 'fw/SPLASH.bin': 'x' },
      is: { verdict: 'miscased', foundAt: 'fw/SPLASH.bin', dump: null },
    },
    {
      why: 'only a size, and this one: as a presence-only entry',
      entry: sizeOnly,
      items: { 'FW/Boot.BIN': BAD },
      is: { verdict: 'miscased', proven: false, foundAt: 'FW/Boot.BIN', dump: null },
    },
    {
      why: 'wrong bytes; what lies elsewhere does not count',
      entry: boot,
      items: { 'fw/BOOT.bin': BAD, 'a.bin': GOOD },
      is: { verdict: 'mismatch', foundAt: 'fw/BOOT.bin', judged: 'fw/BOOT.bin' },
    },
    {
      why: 'several: a right one goes before a lower wrong one',
      entry: boot,
      items: { 'fw/BOOT.bin': BAD, 'fw/Boot.bin': GOOD, 'fw/boot.BIN': GOOD },
      is: { verdict: 'miscased', foundAt: 'fw/Boot.bin' },
    },
    {
      why: 'several wrong ones: the lowest',
      entry: boot,
      items: { 'fw/Boot.bin': BAD, 'fw/BOOT.bin': BAD, 'fw/boot.BIN': 'x' },
      is: { verdict: 'mismatch', foundAt: 'fw/BOOT.bin' },
    },
    {
      why: 'a folder of such a name is no file',
      entry: boot,
      items: { 'fw/BOOT.bin': { kind: 'folder' }, 'a.bin': GOOD },
      is: { verdict: 'misplaced', foundAt: 'a.bin' },
    },
    {
      why: 'case: ignore makes it a match',
      entry: ignoring,
      items: { 'FW/BOOT.bin': GOOD },
      is: { verdict: 'match', foundAt: 'FW/BOOT.bin', expectedPath: 'fw/boot.bin' },
    },
    {
      why: 'case: ignore, presence only',
      entry: { ...presence, case: 'ignore' },
      items: { 'fw/Splash.bin': 'x' },
      is: { verdict: 'unverified', foundAt: 'fw/Splash.bin' },
    },
    {
      why: 'case: ignore, wrong: as in step 1 the right bytes elsewhere are named',
      entry: ignoring,
      items: { 'fw/BOOT.bin': BAD, 'a.bin': GOOD },
      is: { verdict: 'mismatch', foundAt: 'a.bin', judged: 'fw/BOOT.bin' },
    },
    {
      why: 'case: ignore, a folder: as in step 1',
      entry: ignoring,
      items: { 'fw/BOOT.bin': { kind: 'folder' }, 'a.bin': GOOD },
      is: { verdict: 'unreadable', foundAt: 'fw/BOOT.bin' },
    },
    {
      why: 'case: ignore, exact case still goes first',
      entry: ignoring,
      items: { 'fw/BOOT.bin': GOOD, 'fw/boot.bin': BAD },
      is: { verdict: 'mismatch', foundAt: 'fw/BOOT.bin', judged: 'fw/boot.bin' },
    },
  ],
  'step 3: right bytes at any other path': [
    {
      why: 'the lowest in UTF-8 byte order',
      entry: boot,
      items: { 'b/x': GOOD, '\u{1f0a1}': GOOD, '｡': GOOD, 'c.bin': BAD },
      is: { verdict: 'misplaced', foundAt: 'b/x', dump: '#1', judged: 'b/x', size: 10 },
    },
    {
      why: 'U+FF61 is lower than U+1F0A1, though not in UTF-16',
      entry: boot,
      items: { '\u{1f0a1}': GOOD, '｡': GOOD },
      is: { verdict: 'misplaced', foundAt: '｡' },
    },
    {
      why: 'a link to the right bytes is a path too',
      entry: boot,
      items: { 'z.bin': GOOD, 'a.bin': { link: 'z.bin' } },
      is: { verdict: 'misplaced', foundAt: 'a.bin', facts: [LINK('z.bin')] },
    },
    {
      why: 'no size: the same name, whatever its case, anywhere',
      entry: unsized,
      items: { 'x/y/BOOT.BIN': GOOD },
      is: { verdict: 'misplaced', foundAt: 'x/y/BOOT.BIN' },
    },
    {
      why: 'no size: any name in a folder that holds an expected path',
      entry: unsized,
      items: { 'fw/other.bin': GOOD },
      is: { verdict: 'misplaced', foundAt: 'fw/other.bin' },
    },
    {
      why: 'no size: not another name in another folder, also not below',
      entry: unsized,
      items: { 'a.bin': GOOD, 'fw/sub/other.bin': GOOD },
      is: { verdict: 'missing', foundAt: null },
    },
    {
      why: 'no size, --wide: anywhere',
      entry: unsized,
      items: { 'a.bin': GOOD, 'fw/sub/other.bin': GOOD },
      wide: true,
      is: { verdict: 'misplaced', foundAt: 'a.bin' },
    },
    {
      why: 'the size of another dump of the entry makes a candidate',
      entry: { ...boot, dumps: [dumpOf('0123456789', { label: 'x' }), ...unsized.dumps] },
      items: { 'a.bin': GOOD },
      is: { verdict: 'misplaced', foundAt: 'a.bin', dump: '#1' },
    },
    {
      why: 'presence only: the same name anywhere',
      entry: presence,
      items: { 'b/SPLASH.bin': 'x', 'a/splash.bin': 'y', 'fw/other.bin': 'z' },
      is: { verdict: 'misplaced', foundAt: 'a/splash.bin', dump: null, size: 1 },
    },
    {
      why: 'presence only: --wide adds nothing',
      entry: presence,
      items: { 'fw/other.bin': 'z' },
      wide: true,
      is: { verdict: 'missing', foundAt: null },
    },
    {
      why: 'only a size: never looked for elsewhere, under the same name neither',
      entry: sizeOnly,
      items: { 'a.bin': GOOD, 'x/boot.bin': GOOD },
      wide: true,
      is: { verdict: 'missing', foundAt: null },
    },
    {
      why: 'only a size does not make a candidate for a dump without a size',
      entry: { ...boot, dumps: [...sizeOnly.dumps, ...unsized.dumps] },
      items: { 'x/a.bin': GOOD },
      is: { verdict: 'missing', foundAt: null },
    },
    {
      why: 'what cannot be read is no candidate',
      entry: boot,
      items: { 'a.bin': { unreadable: 'io-error', size: 10 }, 'b.bin': GOOD },
      is: { verdict: 'misplaced', foundAt: 'b.bin' },
    },
  ],
  'step 4': [
    {
      why: 'nothing',
      entry: boot,
      items: { 'fw/x.bin': BAD },
      is: { verdict: 'missing', foundAt: null, judged: null, size: null, digests: null },
    },
    { why: 'an empty root', entry: presence, items: {}, is: { verdict: 'missing', foundAt: null } },
  ],
};

for (const [step, rows] of Object.entries(steps)) {
  describe(step, () => {
    it.each(rows)('$why', async ({ entry, items, wide, is }) => {
      const options = wide === undefined ? {} : { wide };
      expect(await judgeOne(items, entry, options)).toMatchObject({ id: entry.id, ...is });
    });
  });
}
