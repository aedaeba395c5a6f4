import { openCard } from '@firmtally/host/internal';
import { expect, it } from 'vitest';
import { tempFolder } from '../../support/temp.js';
import { mountExfat, mountFusefat, mountVfat } from './mounts.js';
import {
  cardFiles,
  DUMPS,
  lost,
  makeScene,
  manifestFor,
  MANIFEST,
  optionsFor,
  readFiles,
  withPlacement,
  writeFiles,
} from './scene.js';

/** Both ignore letter case and have no hard links, as cards are in practice. */
for (const [name, mount] of [
  ["FAT32 by the kernel's vfat", mountVfat],
  ['exFAT by exfat-fuse', mountExfat],
] as const) {
  it(`${name} takes every kind of step, and no more room than planned`, async (context) => {
    const root = tempFolder();
    const { pile } = makeScene(root);
    const card = mount(context, root);
    writeFiles(card, cardFiles());
    await withPlacement(
      { ...optionsFor({ card, pile }), clusterSize: undefined },
      async (placement) => {
        const space = await openCard(card);
        const before = await space.space();
        const { plan } = await placement.look();
        expect(plan.problems).toEqual([]);
        const { results, stopped } = await placement.apply();
        expect(stopped).toBeNull();
        expect(results.map(({ message }) => message)).toEqual(plan.steps.map(() => null));
        expect(lost(cardFiles().values(), readFiles(card).values())).toEqual([]);
        const after = await placement.look();
        expect(after.systems.map(({ readiness }) => readiness)).toEqual(['ready']);
        expect(after.plan.steps).toEqual([]);
        const now = await space.space();
        expect(before).not.toBeNull();
        expect((before?.free ?? 0) - (now?.free ?? 0)).toBeLessThanOrEqual(plan.space.needed);
        expect((before?.free ?? 0) - (now?.free ?? 0)).toBeGreaterThan(0);
      },
    );
    const files = [...readFiles(card).keys()];
    for (const id of MANIFEST.firmware.keys()) expect(files).toContain(id);
    expect(files.filter((path) => path.includes('.firmtally-'))).toEqual([]);
  });
}

it('FAT32 by fusefat takes copies, case fixes and kept files', async (context) => {
  const root = tempFolder();
  const { pile } = makeScene(root);
  const card = await mountFusefat(context, root);
  const before = new Map([
    ['east.bin', Buffer.from('in the way')],
    ['KEYS.BIN', DUMPS.keys],
    ['other.dat', DUMPS.west],
  ]);
  writeFiles(card, before);
  const manifest = manifestFor({
    'fw/boot.bin': DUMPS.boot,
    'east.bin': DUMPS.east,
    'keys.bin': DUMPS.keys,
    'fw/west.bin': DUMPS.west,
  });
  await withPlacement(optionsFor({ card, pile }, manifest), async (placement) => {
    const { results } = await placement.apply();
    expect(results.map(({ step, message }) => [step.kind, message])).toEqual([
      ['copy', null],
      ['copy', null],
      ['copy', null],
      ['case-fix', null],
    ]);
    const after = await placement.look();
    expect(after.plan.steps).toEqual([]);
    expect(after.systems.map(({ readiness }) => readiness)).toEqual(['ready']);
  });
  expect(lost(before.values(), readFiles(card).values())).toEqual([]);
});
