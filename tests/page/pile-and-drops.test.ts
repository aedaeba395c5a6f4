/** What was collected, and what is dropped on the page. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { noChromium } from '../support/chromium.js';
import { firmtally } from '../support/cli.js';
import { drop, type Dropped } from '../support/page/drop.js';
import { check, choose, demo, lookAtPile, pagesOf, saved, titled } from '../support/page/page.js';

describe.skipIf(noChromium !== null)(titled('a pile, and drops'), { timeout: 120_000 }, () => {
  const pages = pagesOf();

  it('says what a pile holds, as the command does', async () => {
    const folder = demo();
    const { page, close } = await pages.open();
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Pile', join(folder, 'pile'));
    await lookAtPile(page);
    const args = ['identify', 'pile', '-m', 'manifest.yaml'];
    const text = await firmtally(args, { cwd: folder, env: { COLUMNS: '300' } });
    const [summary, ...outcome] = text.stdout.split('\n').slice(0, 3);
    expect(await page.locator('#result .summary').textContent()).toBe(summary);
    expect(await page.locator('#result .summary ~ p').allTextContents()).toEqual(outcome);
    const json = await firmtally([...args, '--format', 'json'], { cwd: folder });
    expect(await saved(page, 'Save what was found as JSON')).toBe(json.stdout);
    await close();
  });

  it('says what single files are, as the command does', async () => {
    const folder = demo();
    const { page, close } = await pages.open();
    const names = ['nuthatch.bin', 'plover_boot.bin', 'whimbrel, complete.zip'];
    const { stdout } = await firmtally(
      ['identify', ...names, '-m', '../manifest.yaml', '--format', 'json'],
      { cwd: join(folder, 'pile') },
    );
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Single files', ...names.map((name) => join(folder, 'pile', name)));
    await lookAtPile(page);
    expect(await saved(page, 'Save what was found as JSON')).toBe(stdout);
    await close();
  });

  it('takes a card, a pile and a manifest that are dropped', async () => {
    const folder = demo();
    const { page, close } = await pages.open();
    const font = [...readFileSync(join(folder, 'card/system/firmware/dunlin_font.bin'))];
    const games = Object.fromEntries(
      Array.from({ length: 250 }, (_, at): [string, Dropped] => [`game ${String(at)}`, 'x']),
    );
    await drop(page, '#form', {
      dropped: { system: { firmware: { 'dunlin_font.bin': font } }, games },
      'm.yaml': readFileSync(join(folder, 'manifest.yaml'), 'utf8'),
    });
    await drop(page, '#pile-step', { heap: { 'a.bin': 'x' } });
    await page.getByText('dropped: 251 files').waitFor();
    await page.getByText('heap: 1 file').waitFor();
    const { firmware, root } = await check(page);
    expect(root).toBe('dropped');
    expect(firmware.find(({ id }) => id === 'dunlin-font')?.judged).toBe(
      'system/firmware/dunlin_font.bin',
    );
    await close();
  });

  it('looks into a ZIP that is dropped on the pile', async () => {
    const folder = demo();
    const { page, close } = await pages.open();
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    const zip = [...readFileSync(join(folder, 'pile/whimbrel, complete.zip'))];
    await drop(page, '#pile-step', { 'some.zip': zip });
    await page.getByText('1 file', { exact: true }).waitFor();
    await lookAtPile(page);
    expect(await page.locator('#result h3').allTextContents()).toEqual([
      'some.zip, member whimbrel/bios.bin',
    ]);
    await close();
  });

  it.each<[string, string, Record<string, Dropped>, string]>([
    ['a folder on what is needed', '#needs-step', { sums: { a: 'x' } }, 'sums is a folder.'],
    ['two folders', '#form', { a: { x: 'x' }, b: { x: 'x' } }, 'These are several folders'],
    ['a folder without files', '#card-step', { nothing: {} }, 'No files there'],
    ['a ZIP beside the boxes', '#form', { 'a.zip': 'PK' }, 'a.zip is a ZIP'],
    ['an empty list', '#needs-step', { 'list.txt': '' }, 'No line of the list names a file'],
  ])('says what is wrong with %s', async (_, on, items, sentence) => {
    const { page, close } = await pages.open();
    await drop(page, on, items);
    await page.getByText(sentence).first().waitFor();
    expect(await page.getByRole('button', { name: 'Check the card' }).isDisabled()).toBe(true);
    await close();
  });

  it('takes away what no longer holds when something is chosen anew', async () => {
    const folder = demo();
    const { page, close } = await pages.open();
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Card folder', join(folder, 'card'));
    await check(page);
    await choose(page, 'Card folder', join(folder, 'desk-card'));
    const start = page.getByRole('heading', { name: 'Is the firmware on this card ready?' });
    await start.waitFor();
    expect(await page.locator('#downloads').isHidden()).toBe(true);
    await check(page);
    await page.getByText('More choices').click();
    await page.getByLabel('Be strict').check();
    await start.waitFor();
    const systems = page.getByLabel('Osprey 8');
    await systems.check();
    await page.getByLabel('Loadout').selectOption('trip');
    expect(await systems.isChecked()).toBe(false);
    await systems.check();
    expect(await page.getByLabel('Loadout').inputValue()).toBe('');
    await close();
  });
});
