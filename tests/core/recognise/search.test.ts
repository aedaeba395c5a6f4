/** What a pile holds, whole or in ZIP and gzip files; the ZIPs are written by tests/support/zip, gzip by node:zlib. */
import { gzipSync } from 'node:zlib';
import { memoryAccess, type Firmware } from '@firmtally/core';
import {
  buildInventory,
  collect,
  KnownDumps,
  openInside,
  searchSources,
  type SearchResult,
} from '@firmtally/core/internal';
import { zipReader } from '@firmtally/host/internal';
import { describe, expect, it } from 'vitest';
import { writeZip } from '../../support/zip.js';
import { MemoryFolder, PLATFORM, type MemoryItem } from '../../support/memory-folder.js';
import { dumpOf, firmwareOf, noise } from '../diagnose/support.js';

const boot = Buffer.from(noise(300, 1));
const one = Buffer.from(noise(200, 2));
const two = Buffer.from(noise(100, 3));
const osprey = firmwareOf('osprey', [dumpOf(boot, { label: 'rev' })]);
const kestrel = firmwareOf(
  'kestrel',
  [],
  [
    { path: 'k1', dumps: [dumpOf(one)] },
    { path: 'k2', dumps: [dumpOf(two)] },
  ],
);
const chips = writeZip([
  { name: 'k1', bytes: one },
  { name: 'k2', bytes: two, deflate: true },
]);

async function search(
  items: Readonly<Record<string, MemoryItem>>,
  firmware: readonly Firmware[] = [osprey, kestrel],
): Promise<SearchResult & { readonly folder: MemoryFolder }> {
  const folder = new MemoryFolder(items);
  const { entries } = await buildInventory(folder);
  const source = { name: 'pile', entries, content: folder };
  const result = await searchSources({
    sources: [source],
    known: new KnownDumps(firmware),
    platform: PLATFORM,
  });
  return { ...result, folder };
}

/** `path!member!…: what it is` for everything that is something. */
function shown({ found }: SearchResult): string[] {
  return found.flatMap(({ origin, matches, memberOf, zipFor }) => {
    const inside = origin.inside.map((step) => (step.kind === 'gunzip' ? '!' : `!${step.member}`));
    const is = [
      ...matches.map(({ firmware, dump }) => `${firmware.id} ${dump.label}`),
      ...memberOf.map(({ firmware, member }) => `${firmware.id}/${member.path}`),
      ...zipFor.map(({ id }) => `${id} by members`),
    ];
    return is.length === 0 ? [] : [`${origin.path}${inside.join('')}: ${is.join(', ')}`];
  });
}

describe('a search', () => {
  it('finds dumps whole, in a ZIP, in a gzip file, and in either inside a ZIP', async () => {
    const result = await search({
      '1.dat': boot,
      '2.zip': writeZip([{ name: 'a/b', bytes: boot, deflate: true }]),
      '3.gz': gzipSync(boot),
      '4.zip': writeZip([{ name: 'in.zip', bytes: writeZip([{ name: 'b', bytes: boot }]) }]),
      '5.zip': writeZip([{ name: 'b.gz', bytes: gzipSync(boot) }]),
      '6.zip.gz': gzipSync(writeZip([{ name: 'b', bytes: boot }])),
      'no.dat': noise(300, 9),
    });
    expect(shown(result)).toEqual([
      '1.dat: osprey rev',
      '2.zip!a/b: osprey rev',
      '3.gz!: osprey rev',
      '4.zip!in.zip!b: osprey rev',
      '5.zip!b.gz!: osprey rev',
      '6.zip.gz!!b: osprey rev',
    ]);
    expect(result.faults).toEqual([]);
  });

  it('finds ZIPs by their members, also inside a ZIP, and members outside one', async () => {
    const result = await search({
      'a.bin': chips,
      'b.zip': writeZip([{ name: 'x.zip', bytes: chips }]),
      c: two,
      'd.zip': writeZip([{ name: 'k1', bytes: one }]),
    });
    expect(shown(result)).toEqual([
      'a.bin: kestrel by members',
      'a.bin!k1: kestrel/k1',
      'a.bin!k2: kestrel/k2',
      'b.zip!x.zip: kestrel by members',
      'b.zip!x.zip!k1: kestrel/k1',
      'b.zip!x.zip!k2: kestrel/k2',
      'c: kestrel/k2',
      'd.zip!k1: kestrel/k1',
    ]);
    // What is placed as it stands is checked by its digests.
    const byMembers = result.found.filter(({ zipFor }) => zipFor.length > 0);
    expect(byMembers.map(({ digests }) => digests)).toEqual([
      dumpOf(chips).digests,
      dumpOf(chips).digests,
    ]);
  });

  it('leads back to the bytes, of two members of one name too', async () => {
    const zip = writeZip([
      { name: 'same', bytes: two },
      { name: 'same', bytes: boot },
    ]);
    const outer = writeZip([{ name: 'z.zip', bytes: zip }]);
    const { found } = await search({ 'a.zip': outer });
    const [origin] = found.flatMap(({ matches, ...each }) =>
      matches.length > 0 ? [each.origin] : [],
    );
    expect(origin?.inside.at(-1)).toEqual({ kind: 'unzip', member: 'same', index: 1 });
    const stream = openInside(memoryAccess(outer), origin?.inside ?? [], zipReader, 1 << 20);
    expect(await collect(stream, 1 << 20)).toEqual(new Uint8Array(boot));
  });

  it('reads each file once, and none whose size and name say nothing', async () => {
    const twin = firmwareOf('twin', [dumpOf(boot)]);
    const { folder } = await search({ a: boot, b: boot, c: noise(299, 4) }, [
      osprey,
      twin,
      kestrel,
    ]);
    expect(Object.fromEntries(folder.digested)).toEqual({ a: 1, b: 1 });
  });

  it('says what it did not look at: three levels deep', async () => {
    const deep = writeZip([{ name: 'deep.zip', bytes: writeZip([{ name: 'b', bytes: boot }]) }]);
    const result = await search({ 'a.zip': writeZip([{ name: 'in.zip', bytes: deep }]) });
    expect(shown(result)).toEqual([]);
    expect(result.found[0]?.facts).toMatchObject([{ count: 1, why: 'too-deep' }]);
  });

  it('goes on after what cannot be read', async () => {
    const damaged = writeZip([
      { name: 'b', bytes: boot, says: { method: 14 } },
      { name: 'c', bytes: boot },
    ]);
    const result = await search({ 'a.zip': damaged, b: { unreadable: 'io-error', size: 300 } });
    expect(shown(result)).toEqual(['a.zip!c: osprey rev']);
    expect(result.faults.map(({ path, code }) => [path, code])).toEqual([
      ['a.zip', 'bad-archive'],
      ['b', 'io-error'],
    ]);
  });
});
