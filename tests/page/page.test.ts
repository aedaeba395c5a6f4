/** The page in a real browser (Debian's chromium), opened from disk: what it says is what the command says. */
import { cpSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { runAxe } from '../support/axe.js';
import type { Report } from '@firmtally/core';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { generate } from '../../examples/demo/generate.mjs';
import { noChromium, openChromium } from '../support/chromium.js';
import { firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';
import { loadVectors, manifestText, rootOf, writeTree } from '../support/vectors/vector.js';

const DEMO = fileURLToPath(new URL('../../examples/demo/', import.meta.url));
const PAGE = fileURLToPath(new URL('../../packages/page/dist/firmtally.html', import.meta.url));

let browser: Awaited<ReturnType<typeof openChromium>> | null = null;
beforeAll(async () => {
  if (noChromium === null) browser = await openChromium();
}, 60_000);
afterAll(() => browser?.close());

/** The page, and what it must never do: ask for anything, or complain. */
async function openPage(): Promise<{ page: Page; quiet: () => void }> {
  if (browser === null) throw new Error('no browser');
  const page = await browser.context.newPage();
  const heard: string[] = [];
  page.on('pageerror', (error) => heard.push(error.message));
  page.on('dialog', (dialog) => heard.push(`dialog: ${dialog.message()}`));
  page.on('console', (message) => {
    if (message.type() === 'error') heard.push(message.text());
  });
  page.on('request', (request) => {
    if (!/^(?:file|blob|data):/.test(request.url())) heard.push(`request: ${request.url()}`);
  });
  await page.goto(`file://${PAGE}`);
  return { page, quiet: () => expect(heard).toEqual([]) };
}

async function choose(page: Page, label: string, ...paths: string[]): Promise<void> {
  await page.getByLabel(label).setInputFiles(paths);
}

/** Checks the card and gives the report that the page offers to save. */
async function check(page: Page, loadout = ''): Promise<Report> {
  const choice = page.getByLabel('Loadout');
  if ((await choice.inputValue()) !== loadout) await choice.selectOption(loadout);
  await page.evaluate(() => document.querySelector('#downloads')?.replaceChildren());
  await page.getByRole('button', { name: 'Check the card' }).click();
  const download = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save the report as JSON' }).click();
  return JSON.parse(readFileSync(await (await download).path(), 'utf8')) as Report;
}

async function command(args: readonly string[], cwd: string): Promise<Report> {
  const { stdout } = await firmtally(['audit', ...args, '--format', 'json'], { cwd });
  return JSON.parse(stdout) as Report;
}

/** A demo whose card holds files only: a browser does not see a folder without files. */
function demo(): string {
  const folder = tempFolder();
  generate(folder);
  rmSync(join(folder, 'card/system/firmware/whimbrel_bios.bin'), { recursive: true, force: true });
  cpSync(join(DEMO, 'manifest.yaml'), join(folder, 'manifest.yaml'));
  return folder;
}

// A skipped suite's title is the only place vitest has for the reason.
const title = (text: string): string => (noChromium === null ? text : `${text} (${noChromium})`);

describe.skipIf(noChromium !== null)(title('the page'), { timeout: 120_000 }, () => {
  it("gives the command's report of the demo, for every loadout", async () => {
    const folder = demo();
    const { page, quiet } = await openPage();
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Card folder', join(folder, 'card'));
    for (const loadout of ['', 'trip', 'pocket']) {
      const report = await check(page, loadout);
      const args = loadout === '' ? [] : ['--loadout', loadout];
      expect(report).toEqual(await command(['card', '-m', 'manifest.yaml', ...args], folder));
      expect(await page.locator('#result .summary').textContent()).toContain('systems');
    }
    quiet();
    await page.close();
  });

  it('gives what every scenario expects that a browser can be shown', async () => {
    const { page, quiet } = await openPage();
    let shown = 0;
    for (const vector of loadVectors()) {
      const { loadout, ...more } = vector.options ?? {};
      const files = Object.values(vector.tree);
      const onlyFiles = files.every(
        (item) =>
          typeof item !== 'object' || !('folder' in item || 'link' in item || 'outside' in item),
      );
      // A root of several parts tells the command, but no browser, what lies above it.
      if (Object.keys(more).length > 0 || files.length === 0 || !onlyFiles) continue;
      if (rootOf(vector).includes('/')) continue;
      const cwd = tempFolder();
      const root = join(cwd, rootOf(vector));
      mkdirSync(root);
      writeTree(vector, root);
      writeFileSync(join(cwd, 'invented.json'), manifestText(vector));
      await choose(page, 'Manifest', join(cwd, 'invented.json'));
      await choose(page, 'Card folder', root);
      const args = loadout === undefined ? [] : ['--loadout', loadout];
      const due = await command([rootOf(vector), '-m', 'invented.json', ...args], cwd);
      expect(await check(page, loadout), vector.name).toEqual(due);
      shown++;
    }
    expect(shown).toBeGreaterThanOrEqual(40);
    quiet();
    await page.close();
  });

  it("gives the command's report of random cards", async () => {
    const folder = demo();
    const names = [
      ...readFileSync(join(folder, 'manifest.yaml'), 'utf8').matchAll(/path: (\w+\.bin)/g),
    ];
    const { page, quiet } = await openPage();
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
      const due = await command([`card-${String(round)}`, '-m', 'manifest.yaml'], folder);
      expect(await check(page)).toEqual(due);
    }
    quiet();
    await page.close();
  });

  it('shows the problems of a manifest with their frames, as the command does', async () => {
    const { page, quiet } = await openPage();
    await choose(page, 'Manifest', join(DEMO, 'mistakes.yaml'));
    const shown = (await page.locator('.problems').textContent()) ?? '';
    const { stdout } = await firmtally(['validate', 'mistakes.yaml'], { cwd: DEMO });
    const blocks = shown.trim().split('\n\n');
    expect(blocks).toHaveLength(4);
    for (const block of blocks) expect(stdout).toContain(block);
    await expect(page.getByRole('button', { name: 'Check the card' }).isDisabled()).resolves.toBe(
      true,
    );
    quiet();
    await page.close();
  });

  it('drafts a manifest from a posted list and offers it', async () => {
    const { page, quiet } = await openPage();
    await choose(page, 'Posted list', join(DEMO, 'posted-list.md'));
    const download = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Save the drafted manifest' }).click();
    const path = await (await download).path();
    const { code, stdout, stderr } = await firmtally(['validate', path]);
    expect(code, stdout + stderr).toBe(0);
    expect(readFileSync(path, 'utf8')).toContain('nuthatch_boot.bin');
    quiet();
    await page.close();
  });

  it('says what a pile holds, as the command does', async () => {
    const folder = demo();
    const { page, quiet } = await openPage();
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Pile', join(folder, 'pile'));
    await page.getByRole('button', { name: 'What is in the pile?' }).click();
    const { stdout } = await firmtally(['identify', 'pile', '-m', 'manifest.yaml'], {
      cwd: folder,
      env: { COLUMNS: '300' },
    });
    const [summary = '', here = ''] = stdout.split('\n');
    await page.getByText(here, { exact: true }).waitFor();
    await page.getByText(summary, { exact: true }).waitFor();
    quiet();
    await page.close();
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
    const { page, quiet } = await openPage();
    await choose(page, 'Manifest', join(folder, 'm.json'));
    await choose(page, 'Card folder', join(folder, 'card'));
    await check(page);
    expect(await page.locator('#result').innerText()).toContain(
      '<script>alert(2)</script>\\u{202e}',
    );
    expect(await page.locator('img, #result script').count()).toBe(0);
    await choose(page, 'Pile', join(folder, 'card'));
    await page.getByRole('button', { name: 'What is in the pile?' }).click();
    await page.getByRole('heading', { name: 'What is in the pile' }).waitFor();
    expect(await page.locator('img, #result script').count()).toBe(0);
    quiet();
    await page.close();
  });

  it('says that the card was pulled out', async () => {
    const folder = demo();
    const { page } = await openPage();
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Card folder', join(folder, 'card'));
    rmSync(join(folder, 'card'), { recursive: true });
    const report = await check(page);
    expect(report.totals.systems.ready).toBe(
      report.systems.filter(({ requires }) => requires.length === 0).length,
    );
    expect(await page.locator('#status').textContent()).toContain('was the card pulled out?');
    await page.close();
  });

  it.each([
    ['light', 390],
    ['dark', 1280],
  ] as const)('has nothing that axe objects to, %s, %i pixels', async (colorScheme, width) => {
    const folder = demo();
    const { page } = await openPage();
    await page.emulateMedia({ colorScheme });
    await page.setViewportSize({ width, height: 800 });
    expect(await runAxe(page)).toEqual([]);
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Card folder', join(folder, 'card'));
    await choose(page, 'Pile', join(folder, 'pile'));
    await check(page, 'trip');
    expect(await runAxe(page)).toEqual([]);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    expect(wide).toBeLessThanOrEqual(width);
    await page.getByRole('button', { name: 'What is in the pile?' }).click();
    await page.getByRole('heading', { name: 'What is in the pile' }).waitFor();
    expect(await runAxe(page)).toEqual([]);
    await page.close();
  });
});
