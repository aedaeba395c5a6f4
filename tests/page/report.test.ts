/** What the page says of a card is what the command says. */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Report } from '@firmtally/core';
import { auditFolder } from '@firmtally/host';
import { describe, expect, it } from 'vitest';
import { noChromium } from '../support/chromium.js';
import { firmtally } from '../support/cli.js';
import { check, choose, demo, pagesOf, saved, titled, type Chosen } from '../support/page/page.js';
import { tempFolder } from '../support/temp.js';
import {
  loadVectors,
  manifestText,
  rootOf,
  writeTree,
  type Vector,
} from '../support/vectors/vector.js';

/** Why a browser cannot be shown a scenario; null when it can. */
function leftOut({ tree, ...vector }: Vector): string | null {
  const items = Object.values(tree).filter((item) => typeof item === 'object');
  if (items.some((item) => 'folder' in item)) return 'a browser lists no folder without files';
  if (items.some((item) => 'link' in item)) return 'a browser follows links without a word';
  if (items.some((item) => 'outside' in item)) return 'a browser follows links out of the folder';
  const deep = rootOf({ ...vector, tree }).includes('/');
  return deep ? 'a browser does not tell what lies above the folder' : null;
}

function argsOf({ loadout, systems, wide, strict, strays }: Chosen): string[] {
  return [
    ...(loadout === undefined ? [] : ['--loadout', loadout]),
    ...(systems === undefined ? [] : ['--system', systems.join(',')]),
    ...(wide === true ? ['--wide'] : []),
    ...(strict === true ? ['--strict'] : []),
    ...(strays === true ? ['--strays'] : []),
  ];
}

describe.skipIf(noChromium !== null)(titled('the report of the page'), { timeout: 120_000 }, () => {
  const pages = pagesOf();

  it.each<Chosen>([
    {},
    { loadout: 'trip' },
    { systems: ['osprey', 'pipit'], strict: true },
    { wide: true, strays: true },
  ])("is the command's of the demo with %j", async (chosen) => {
    const folder = demo();
    const { page, close } = await pages.open();
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Card folder', join(folder, 'card'));
    const report = await check(page, chosen);
    const args = ['audit', 'card', '-m', 'manifest.yaml', ...argsOf(chosen), '--format'];
    const [json, html] = await Promise.all([
      firmtally([...args, 'json'], { cwd: folder }),
      firmtally([...args, 'html'], { cwd: folder }),
    ]);
    expect(report).toEqual(JSON.parse(json.stdout));
    expect(await page.locator('#result .summary').textContent()).toContain('system');
    expect(await saved(page, 'Save the report as JSON')).toBe(json.stdout);
    expect(await saved(page, 'Save the report as HTML')).toBe(html.stdout);
    await close();
  });

  // That the command prints the same is the business of tests/vectors.
  it('is what every scenario expects that a browser can be shown', async () => {
    const skipped: Record<string, string[]> = {};
    const left = loadVectors().filter((vector) => {
      const why = leftOut(vector);
      if (why !== null) (skipped[why] ??= []).push(vector.name);
      return why === null;
    });
    expect(left.length, JSON.stringify(skipped)).toBeGreaterThanOrEqual(82);
    const { page, close } = await pages.open();
    for (const vector of left) {
      const cwd = tempFolder();
      const root = join(cwd, rootOf(vector));
      mkdirSync(root);
      writeTree(vector, root);
      writeFileSync(join(cwd, 'invented.json'), manifestText(vector));
      await choose(page, 'Manifest', join(cwd, 'invented.json'));
      await choose(page, 'Card folder', root);
      const [shown, due] = await Promise.all([
        check(page, vector.options),
        auditFolder(rootOf(vector), { manifests: ['invented.json'], cwd, ...vector.options }),
      ]);
      expect(shown, vector.name).toEqual(due);
    }
    await close();
  });

  it("is the command's of random cards", async () => {
    const folder = demo();
    const names = [
      ...readFileSync(join(folder, 'manifest.yaml'), 'utf8').matchAll(/path: (\w+\.bin)/g),
    ];
    const { page, close } = await pages.open();
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    // A linear congruential generator (Numerical Recipes' constants, from memory): the same cards every time.
    let seed = 2026;
    const random = (below: number): number => {
      seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
      return seed % below;
    };
    for (let round = 0; round < 5; round++) {
      const card = join(folder, `card-${String(round)}`);
      for (const [, name = ''] of names) {
        const place = ['system/firmware', 'system', 'downloads/old', ''][random(4)] ?? '';
        const bytes = Buffer.alloc([0, 1024, 2048, 16384][random(4)] ?? 0, random(3));
        mkdirSync(join(card, place), { recursive: true });
        writeFileSync(join(card, place, random(3) === 0 ? name.toUpperCase() : name), bytes);
      }
      await choose(page, 'Card folder', card);
      const due = { manifests: ['manifest.yaml'], cwd: folder };
      const shown: Report = await check(page);
      expect(shown).toEqual(await auditFolder(`card-${String(round)}`, due));
    }
    await close();
  });

  it('is cut short on the screen where it is too long, and whole in what is saved', async () => {
    const folder = tempFolder();
    const ids = Array.from({ length: 600 }, (_, at) => `fw-${String(at).padStart(3, '0')}`);
    const of = <Value>(value: (id: string) => Value): Record<string, Value> =>
      Object.fromEntries(ids.map((id) => [id, value(id)]));
    const manifest = {
      firmtally: 1,
      firmware: of((id) => ({ path: `${id}.bin`, dumps: [{ crc32: '00000001' }] })),
      systems: of((id) => ({ name: id, requires: [id] })),
    };
    writeFileSync(join(folder, 'm.json'), JSON.stringify(manifest));
    mkdirSync(join(folder, 'card'));
    writeFileSync(join(folder, 'card', 'x'), 'x');
    const { page, close } = await pages.open();
    await choose(page, 'Manifest', join(folder, 'm.json'));
    await choose(page, 'Card folder', join(folder, 'card'));
    const report = await check(page);
    expect(report.toGet).toHaveLength(600);
    expect(await page.locator('#result .get').count()).toBe(250);
    expect(await page.locator('#result #to-get ~ .cards > p').textContent()).toBe(
      'and 350 more, not shown here',
    );
    expect(await page.locator('#result tbody tr').last().textContent()).toContain('and 350 more');
    const html = await saved(page, 'Save the report as HTML');
    expect(html.match(/class="task get"/g)).toHaveLength(600);
    await close();
  });
});
