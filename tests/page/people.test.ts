/** The page for people: every state of it sound to axe, by keyboard alone, with hostile names, with a card pulled out. */
import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { runAxe } from '../support/axe.js';
import { noChromium } from '../support/chromium.js';
import { check, choose, DEMO, demo, lookAtPile, pagesOf, titled } from '../support/page/page.js';
import { tempFolder } from '../support/temp.js';

describe.skipIf(noChromium !== null)(titled('the page for people'), { timeout: 120_000 }, () => {
  const pages = pagesOf();

  it.each([
    ['light', 360],
    ['dark', 1280],
  ] as const)('has nothing that axe objects to, %s, %i pixels', async (colorScheme, width) => {
    const folder = demo();
    const { page, close } = await pages.open();
    await page.emulateMedia({ colorScheme });
    await page.setViewportSize({ width, height: 800 });
    const sound = async (state: string): Promise<void> => {
      expect(await runAxe(page), state).toEqual([]);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      expect(wide, state).toBeLessThanOrEqual(width);
    };
    await sound('start');
    await choose(page, 'Manifest', join(DEMO, 'mistakes.yaml'));
    await page.locator('.problem').first().waitFor();
    await sound('a manifest with problems');
    await choose(page, 'Posted list', join(DEMO, 'posted-list.md'));
    await page.getByRole('heading', { name: 'Drafted from the list' }).waitFor();
    await sound('a drafted manifest');
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Card folder', join(folder, 'card'));
    await choose(page, 'Pile', join(folder, 'pile'));
    await page.getByText('More choices').click();
    await page.getByLabel('Osprey 8').waitFor();
    await sound('more choices');
    await check(page, { loadout: 'trip', strays: true });
    await sound('not ready');
    await check(page, { systems: ['osprey', 'kestrel'] });
    await page.locator('summary', { hasText: 'with checksums' }).click();
    await sound('ready');
    await lookAtPile(page);
    await sound('a pile');
    // Nothing takes long enough here: the bar is shown by hand.
    await page.evaluate(() => document.querySelector('#progress')?.removeAttribute('hidden'));
    await sound('busy');
    rmSync(join(folder, 'card'), { recursive: true });
    await check(page);
    await sound('card pulled out');
    await close();
  });

  it('can be used by keyboard alone', async () => {
    const folder = demo();
    const { page, close } = await pages.open();
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Card folder', join(folder, 'card'));
    await choose(page, 'Pile', join(folder, 'pile'));
    await page.getByText('pile: ').waitFor();
    await page.locator('body').press('Home');
    const focused = (): Promise<string> =>
      page.evaluate(() => {
        const at = document.activeElement;
        const label = at instanceof HTMLInputElement ? at.labels?.[0] : null;
        const named = at instanceof HTMLSelectElement ? at.labels[0] : (label ?? at);
        return named?.textContent.trim().replace(/\s+/g, ' ').slice(0, 80) ?? '';
      });
    const walk = async (keys: readonly string[]): Promise<string[]> => {
      const names: string[] = [];
      for (const key of keys) {
        await page.keyboard.press(key);
        names.push(await focused());
      }
      return names;
    };
    expect(await walk(Array<string>(9).fill('Tab'))).toEqual([
      'Manifest',
      'or Posted list',
      'Loadout',
      'Card folder',
      'Check the card',
      'Pile',
      'or Single files',
      'What is in the pile?',
      'More choices',
    ]);
    await page.keyboard.press('Enter');
    await page.getByLabel('Osprey 8').waitFor();
    expect((await walk(['Tab', 'Tab', 'Tab', 'Tab'])).map((name) => name.split(' ')[0])).toEqual([
      'Search',
      'List',
      'Be',
      'Avocet',
    ]);
    await page.keyboard.press('Space');
    await page.getByRole('button', { name: 'Check the card' }).focus();
    await page.keyboard.press('Enter');
    await page.getByText('0 of 1 system is ready; 1 not-ready.').first().waitFor();
    // The keyboard, and a screen reader, go on from the result's heading.
    expect(await focused()).toBe('Tern pocket and Curlew desk');
    expect(await page.locator('[role=status]').allTextContents()).toContain(
      '0 of 1 system is ready; 1 not-ready.',
    );
    expect(await walk(['Tab'])).toEqual(['Not ready (1)']);
    await page.keyboard.press('Enter');
    expect(await walk(['Tab'])).toEqual(['get avocet-boot']);
    await close();
  });

  it('says so where folders cannot be picked', async () => {
    const { page, close } = await pages.open((tab) =>
      tab.addInitScript(() => {
        Reflect.deleteProperty(HTMLInputElement.prototype, 'webkitdirectory');
      }),
    );
    await page.getByText('This browser cannot pick folders.').waitFor();
    expect(await runAxe(page)).toEqual([]);
    await close();
  });

  it('shows hostile names as text', async () => {
    const folder = tempFolder();
    const name = '<img src=x onerror=alert(1)>.bin';
    mkdirSync(join(folder, 'card'));
    writeFileSync(join(folder, 'card', name), 'x');
    writeFileSync(
      join(folder, 'm.json'),
      JSON.stringify({
        firmtally: 1,
        title: '<script>alert(3)</script>',
        firmware: { a: { path: name, dumps: [{ crc32: '00000001' }] } },
        systems: { a: { name: '<script>alert(2)</script>\u202e', requires: ['a'] } },
      }),
    );
    const { page, close } = await pages.open();
    const tame = async (): Promise<void> =>
      expect(await page.locator('img, #result script, #choose-systems script').count()).toBe(0);
    await choose(page, 'Manifest', join(folder, 'm.json'));
    await choose(page, 'Card folder', join(folder, 'card'));
    await check(page, { systems: ['a'] });
    expect(await page.locator('#result').innerText()).toContain(
      '<script>alert(2)</script>\\u{202e}',
    );
    expect(await page.locator('#choose-systems').innerText()).toContain(
      '<script>alert(2)</script>\\u{202e}',
    );
    await tame();
    await choose(page, 'Pile', join(folder, 'card'));
    await lookAtPile(page);
    await tame();
    writeFileSync(
      join(folder, 'list'),
      `00000001  ${name}\nnothing <b>here</b> 12345678 9abcdef0\n`,
    );
    await choose(page, 'Posted list', join(folder, 'list'));
    await page.getByRole('heading', { name: 'Drafted from the list' }).waitFor();
    expect(await page.locator('#result').innerText()).toContain(name);
    writeFileSync(
      join(folder, 'wrong.json'),
      '{"firmtally": 1, "<img src=x onerror=alert(4)>": 2}',
    );
    await choose(page, 'Manifest', join(folder, 'wrong.json'));
    await page.getByRole('heading', { name: 'What is wrong with the manifest' }).waitFor();
    expect(await page.locator('#result b, #result').first().innerText()).toContain('<img src=x');
    await tame();
    await close();
  });

  it('says that the card was pulled out, and of what was not read nothing but that', async () => {
    const folder = demo();
    const { page, close } = await pages.open();
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Card folder', join(folder, 'card'));
    rmSync(join(folder, 'card'), { recursive: true });
    const { firmware, systems, toGet, totals } = await check(page);
    expect(totals.systems.ready).toBe(
      systems.filter(({ requires }) => requires.length === 0).length,
    );
    const unread = firmware.filter(({ verdict }) => verdict === 'unreadable').map(({ id }) => id);
    expect(unread.length).toBeGreaterThan(15);
    // The card cannot provide them now; why, is said of each.
    const lacking = toGet.filter(({ anyOf }) => anyOf.some((id) => unread.includes(id)));
    expect(lacking.length).toBeGreaterThan(10);
    for (const { facts } of lacking) {
      expect(facts).toContainEqual(
        expect.objectContaining({
          fact: expect.objectContaining({ code: 'unreadable' }) as unknown,
        }),
      );
    }
    expect(await page.locator('#result .alert').first().textContent()).toContain(
      'was the card pulled out?',
    );
    await close();
  });

  it('says of a large card that was pulled out nothing but that', async () => {
    const folder = demo();
    for (let at = 0; at < 150; at++) writeFileSync(join(folder, 'card', `game ${String(at)}`), 'x');
    const { page, close } = await pages.open();
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Card folder', join(folder, 'card'));
    rmSync(join(folder, 'card'), { recursive: true });
    await page.getByRole('button', { name: 'Check the card' }).click();
    await page.getByText('More than 100 files are not there any more').waitFor();
    expect(await page.locator('#downloads').isHidden()).toBe(true);
    await close();
  });
});
