import { cpSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import type { CardFs } from '@firmtally/host';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { fastFolder } from './fast-folder.js';
import { fatLikeCard } from './fat-like-card.js';
import { crashingCard, Death, Killed } from './crashing-card.js';
import {
  cardFiles,
  lost,
  makeScene,
  MANIFEST,
  optionsFor,
  pileFiles,
  readFiles,
  withPlacement,
  type Scene,
  type PlaceSetting,
} from './scene.js';

type Wrap = (card: CardFs) => CardFs;

const CARDS: readonly (readonly [string, Wrap])[] = [
  ['a card that minds letter case', (card) => card],
  ['a card like FAT', fatLikeCard],
];

/**
 * Under Wine (tests/windows) a call to the file system takes 1 to 3 ms, ten times what it does on
 * Linux: minutes for every change, so there only some.
 */
const WINDOWS = process.platform === 'win32';

/** From one moment of death to the next that is tried. */
const STRIDE = WINDOWS ? 6 : 1;

function withCard(scene: Scene, wrapCard: Wrap): PlaceSetting {
  return { ...optionsFor(scene), wrapCard };
}

/**
 * Every call by which placing changes the card is a moment at which the process
 * may die. Each is tried once, under Wine some: nothing may be lost, and running again must end
 * as if nothing had happened.
 */
it.each(CARDS)(
  'killed at any change on %s, ends the same and loses nothing',
  async (_, wrap) => {
    const root = fastFolder();
    const first = makeScene(root);
    const plain = join(root, 'plain');
    cpSync(first.card, plain, { recursive: true });
    await withPlacement(withCard({ ...first, card: plain }, wrap), (one) => one.apply());
    const wanted = readFiles(plain);
    for (const [id, firmware] of MANIFEST.firmware) {
      if (firmware.members !== null) continue;
      expect(wanted.get(id)?.length, id).toBe(firmware.dumps[0]?.size);
    }
    // Beside what was there, only what was placed new: two copies, a repair, four copies on the card, and a ZIP.
    expect(wanted.size).toBe(cardFiles().size + 8);

    const after = await withPlacement(optionsFor({ ...first, card: plain }), (one) => one.look());
    expect(after.plan.steps).toEqual([]);
    expect(after.systems.map(({ readiness }) => readiness)).toEqual(['ready']);

    let moments = 0;
    for (let dieAt = 0; ; dieAt += STRIDE) {
      const card = join(root, `card-${dieAt}`);
      cpSync(first.card, card, { recursive: true });
      const scene = { ...first, card };
      const died = await dieThere(scene, wrap, dieAt);
      expect(lost(cardFiles().values(), readFiles(card).values()), `call ${dieAt}`).toEqual([]);
      await withPlacement(withCard(scene, wrap), (one) => one.apply());
      expect(shown(readFiles(card)), `call ${dieAt}`).toEqual(shown(wanted));
      if (!died) break;
      moments++;
    }
    expect(moments).toBeGreaterThan(25 / STRIDE);
    for (const [path, bytes] of pileFiles()) {
      expect(readFileSync(join(first.pile, path)).equals(bytes), path).toBe(true);
    }
  },
  120_000,
);

/** A second kill, while the first is being recovered from, and a third. */
it.each(CARDS)(
  'killed again while it recovers on %s, loses nothing',
  async (_, wrap) => {
    const root = fastFolder();
    const first = makeScene(root);
    const plain = join(root, 'plain');
    cpSync(first.card, plain, { recursive: true });
    await withPlacement(withCard({ ...first, card: plain }, wrap), (one) => one.apply());
    const wanted = readFiles(plain);

    await fc.assert(
      fc.asyncProperty(fc.array(fc.nat(34), { minLength: 2, maxLength: 3 }), async (deaths) => {
        const card = join(root, `card-${deaths.join('-')}`);
        rmSync(card, { recursive: true, force: true });
        cpSync(first.card, card, { recursive: true });
        for (const dieAt of deaths) await dieThere({ ...first, card }, wrap, dieAt);
        expect(lost(cardFiles().values(), readFiles(card).values())).toEqual([]);
        await withPlacement(withCard({ ...first, card }, wrap), (one) => one.apply());
        expect(shown(readFiles(card))).toEqual(shown(wanted));
      }),
      { seed: 20_260_805, numRuns: WINDOWS ? 4 : 15 },
    );
  },
  120_000,
);

async function dieThere(scene: Scene, wrap: Wrap, dieAt: number): Promise<boolean> {
  const death = new Death();
  const options = withCard(scene, (card) => wrap(crashingCard(card, death)));
  return withPlacement(options, async (placement) => {
    death.arm(dieAt);
    try {
      await placement.apply();
      return false;
    } catch (error) {
      if (error instanceof Killed) return true;
      throw error;
    }
  });
}

function shown(files: Map<string, Buffer>): [string, string][] {
  return [...files]
    .map(([path, bytes]): [string, string] => [path, bytes.toString('base64').slice(0, 40)])
    .sort();
}
