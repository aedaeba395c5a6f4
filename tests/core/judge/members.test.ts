import { describe, expect, it } from 'vitest';
import { dumpOf, firmware } from '../../support/entries.js';
import { judge, judgeOne } from '../../support/judge.js';
import { makeZip } from '../../support/zip.js';

const K1 = Buffer.from('first chip');
const K2 = Buffer.from('second chip, larger');
const chips = firmware('chips', {
  path: 'fw/chips.zip',
  members: [
    { path: 'k1.rom', dumps: [dumpOf('another'), dumpOf(K1)] },
    { path: 'sub/k2.rom', dumps: [dumpOf(K2, { size: false, algorithms: ['sha256'] })] },
  ],
});
const k1 = { path: 'k1.rom', bytes: K1 };
const k2 = { path: 'sub/k2.rom', bytes: K2 };
const RIGHT = makeZip([k1, k2]);
const WRONG = makeZip([k1, { ...k2, bytes: Buffer.from('x') }]);

describe('an entry with members', () => {
  it.each([
    ['stored', RIGHT],
    ['deflated, in another order', makeZip([k2, { ...k1, deflate: true }])],
  ])('matches by its members: %s', async (_, zip) => {
    expect(await judgeOne({ 'fw/chips.zip': zip }, chips)).toMatchObject({
      verdict: 'match',
      foundAt: 'fw/chips.zip',
      dump: null,
      size: zip.length,
      facts: [],
    });
  });

  it('allows extra members and names them', async () => {
    const zip = makeZip([
      k1,
      k2,
      { path: 'readme.txt', bytes: K1 },
      { path: 'd/', bytes: Buffer.alloc(0) },
    ]);
    expect(await judgeOne({ 'fw/chips.zip': zip }, chips)).toMatchObject({
      verdict: 'match',
      facts: [{ code: 'extra-members', members: ['readme.txt'], more: 0 }],
    });
    const many = Array.from({ length: 13 }, (_, i) => ({ path: `m${String(i)}`, bytes: K1 }));
    const { facts } = await judgeOne({ 'fw/chips.zip': makeZip([k1, k2, ...many]) }, chips);
    expect(facts).toMatchObject([{ code: 'extra-members', more: 3 }]);
    expect(facts[0]?.text).toMatch(/m9 and 3 more\.$/);
  });

  it.each([
    ['wrong bytes', WRONG, 'Member "sub/k2.rom" has other bytes than any dump of it.'],
    [
      'a wrong size',
      makeZip([k2, { ...k1, bytes: K2 }]),
      `Member "k1.rom" has 19 bytes; expected: 7 or 10.`,
    ],
    ['a missing member', makeZip([k1]), 'Member "sub/k2.rom" is not in the ZIP.'],
    [
      'another letter case',
      makeZip([k1, { ...k2, path: 'sub/K2.ROM' }]),
      'Member "sub/k2.rom" is not in the ZIP; "sub/K2.ROM" is.',
    ],
  ])('says which member is wrong: %s', async (_, zip, text) => {
    const verdict = await judgeOne({ 'fw/chips.zip': zip }, chips);
    expect(verdict).toMatchObject({ verdict: 'mismatch', foundAt: 'fw/chips.zip' });
    expect(verdict.facts).toContainEqual(expect.objectContaining({ text }));
  });

  it('takes no ZIP, and a damaged one, for wrong bytes', async () => {
    expect(await judgeOne({ 'fw/chips.zip': 'no zip at all' }, chips)).toMatchObject({
      verdict: 'mismatch',
    });
    const damaged = Buffer.from(RIGHT);
    damaged.write('F', damaged.indexOf(K1)); // its CRC-32 no longer fits
    const verdict = await judgeOne({ 'fw/chips.zip': damaged }, chips);
    expect(verdict.verdict).toBe('mismatch');
    expect(verdict.facts).toMatchObject([{ code: 'member-unreadable', member: 'k1.rom' }]);
  });

  it('follows the same steps elsewhere: under the same name only', async () => {
    expect(await judgeOne({ 'FW/Chips.zip': RIGHT }, chips)).toMatchObject({
      verdict: 'miscased',
      foundAt: 'FW/Chips.zip',
    });
    expect(await judgeOne({ 'fw/CHIPS.zip': WRONG, 'a/chips.zip': RIGHT }, chips)).toMatchObject({
      verdict: 'mismatch',
      foundAt: 'fw/CHIPS.zip',
    });
    const items = { 'b/Chips.ZIP': RIGHT, 'a/chips.zip': WRONG, 'a/other.zip': RIGHT };
    expect(await judgeOne(items, chips)).toMatchObject({
      verdict: 'misplaced',
      foundAt: 'b/Chips.ZIP',
    });
    expect(await judgeOne(items, chips, { wide: true })).toMatchObject({
      verdict: 'misplaced',
      foundAt: 'a/other.zip',
    });
    expect(await judgeOne({ 'fw/chips.zip': WRONG, 'z/chips.zip': RIGHT }, chips)).toMatchObject({
      verdict: 'mismatch',
      foundAt: 'z/chips.zip',
      judged: 'fw/chips.zip',
    });
  });

  it('is unreadable where nothing opens ZIPs, with a fault', async () => {
    const { verdicts, faults } = await judge({ 'fw/chips.zip': RIGHT }, [chips], {
      archives: null,
    });
    expect(verdicts[0]).toMatchObject({ verdict: 'unreadable', foundAt: 'fw/chips.zip' });
    expect(faults).toMatchObject([{ path: 'fw/chips.zip', code: 'bad-archive' }]);
  });
});
