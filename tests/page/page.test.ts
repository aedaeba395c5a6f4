/** The page in a real browser (Debian's chromium), opened from disk: what it says is what the command says. */
import { cpSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { runAxe } from '../support/axe.js';
import type { Report } from '@firmtally/core';
import { auditFolder } from '@firmtally/host';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { generate } from '../../examples/demo/generate.mjs';
import { noChromium, openChromium } from '../support/chromium.js';
import { firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';
import {
  loadVectors,
  manifestText,
  rootOf,
  writeTree,
  type Vector,
} from '../support/vectors/vector.js';

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

/** The text that the page saves when that button is pressed. */
async function saved(page: Page, button: string): Promise<string> {
  const download = page.waitForEvent('download');
  await page.getByRole('button', { name: button }).click();
  return readFileSync(await (await download).path(), 'utf8');
}

/** Checks the card and gives the report that the page offers to save. */
async function check(page: Page, loadout = ''): Promise<Report> {
  const choice = page.getByLabel('Loadout');
  if ((await choice.inputValue()) !== loadout) await choice.selectOption(loadout);
  await page.evaluate(() => document.querySelector('#downloads')?.replaceChildren());
  await page.getByRole('button', { name: 'Check the card' }).click();
  return JSON.parse(await saved(page, 'Save the report as JSON')) as Report;
}

async function lookAtPile(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'What is in the pile?' }).click();
  await page.getByRole('heading', { name: 'What is in the pile' }).waitFor();
}

/** Why a browser cannot be shown a scenario, or the page not be asked; null when neither is so. */
function leftOut({ options = {}, tree, ...vector }: Vector): string | null {
  for (const name of ['systems', 'wide', 'strict', 'strays'] as const) {
    if (options[name] !== undefined) return `the page does not offer "${name}"`;
  }
  const items = Object.values(tree).filter((item) => typeof item === 'object');
  if (items.some((item) => 'folder' in item)) return 'a browser lists no folder without files';
  if (items.some((item) => 'link' in item)) return 'a browser follows links without a word';
  if (items.some((item) => 'outside' in item)) return 'a browser follows links out of the folder';
  const deep = rootOf({ ...vector, tree }).includes('/');
  return deep ? 'a browser does not tell what lies above the folder' : null;
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
    for (const loadout of ['', 'trip']) {
      const report = await check(page, loadout);
      const args = loadout === '' ? [] : ['--loadout', loadout];
      expect(report).toEqual(await command(['card', '-m', 'manifest.yaml', ...args], folder));
      expect(await page.locator('#result .summary').textContent()).toContain('systems');
      const html = await firmtally(
        ['audit', 'card', '-m', 'manifest.yaml', ...args, '--format', 'html'],
        {
          cwd: folder,
        },
      );
      expect(await saved(page, 'Save the report as HTML')).toBe(html.stdout);
    }
    quiet();
    await page.close();
  });

  // That the command prints the same is the business of tests/vectors.
  it('gives what every scenario expects that a browser can be shown', async () => {
    const { page, quiet } = await openPage();
    const skipped: Record<string, string[]> = {};
    let shown = 0;
    for (const vector of loadVectors()) {
      const why = leftOut(vector);
      if (why !== null) {
        (skipped[why] ??= []).push(vector.name);
        continue;
      }
      const cwd = tempFolder();
      const root = join(cwd, rootOf(vector));
      mkdirSync(root);
      writeTree(vector, root);
      writeFileSync(join(cwd, 'invented.json'), manifestText(vector));
      await choose(page, 'Manifest', join(cwd, 'invented.json'));
      await choose(page, 'Card folder', root);
      const due = await auditFolder(rootOf(vector), {
        manifests: ['invented.json'],
        cwd,
        ...vector.options,
      });
      expect(await check(page, vector.options?.loadout), vector.name).toEqual(due);
      shown++;
    }
    expect(shown, JSON.stringify(skipped)).toBeGreaterThanOrEqual(76);
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
      const due = { manifests: ['manifest.yaml'], cwd: folder };
      expect(await check(page)).toEqual(await auditFolder(`card-${String(round)}`, due));
    }
    quiet();
    await page.close();
  });

  it('shows the problems of a manifest with their frames, as the command does', async () => {
    const { page, quiet } = await openPage();
    await choose(page, 'Manifest', join(DEMO, 'mistakes.yaml'));
    const { stdout } = await firmtally(['validate', 'mistakes.yaml'], {
      cwd: DEMO,
      env: { COLUMNS: '300' },
    });
    // The frame's first line; below it the command draws what the page underlines.
    const lines = stdout.split('\n').map((line) => line.trimEnd());
    const shown = page.locator('.problem');
    expect(await shown.count()).toBe(4);
    for (const problem of await shown.all()) {
      const head = (await problem.locator('h2').textContent()) ?? '';
      const at = lines.indexOf(head);
      expect(at, head).toBeGreaterThanOrEqual(0);
      expect(lines[at + 1]).toBe(await problem.locator('pre').textContent());
      const marked = (await problem.locator('mark').textContent()) ?? '';
      expect((/[~^]+/.exec(lines[at + 2] ?? '') ?? [''])[0]).toHaveLength(marked.length);
      for (const note of await problem.locator('p').all()) {
        expect(lines).toContain(`   = ${(await note.textContent()) ?? ''}`);
      }
    }
    await expect(page.getByRole('button', { name: 'Check the card' }).isDisabled()).resolves.toBe(
      true,
    );
    quiet();
    await page.close();
  });

  it('drafts a manifest from a posted list, checks the card by it and offers it', async () => {
    const folder = demo();
    const { page, quiet } = await openPage();
    await choose(page, 'Card folder', join(folder, 'card'));
    await choose(page, 'Posted list', join(DEMO, 'posted-list.md'));
    const drafted = await saved(page, 'Save the drafted manifest');
    writeFileSync(join(folder, 'drafted.yaml'), drafted);
    const draft = await firmtally(['draft', '--list', 'posted-list.md'], { cwd: DEMO });
    // A file for an editor is made by the command, so only that speaks of it.
    const editors = /^# (?:For checks and completion|yaml-language-server:).*\n/gmu;
    expect(drafted).toBe(draft.stdout.replaceAll(editors, ''));
    expect(await check(page)).toEqual(await command(['card', '-m', 'drafted.yaml'], folder));
    quiet();
    await page.close();
  });

  it('says what a pile holds, as the command does', async () => {
    const folder = demo();
    const { page, quiet } = await openPage();
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
    quiet();
    await page.close();
  });

  it('takes a result away when what it is of is chosen anew', async () => {
    const folder = demo();
    const { page } = await openPage();
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Card folder', join(folder, 'card'));
    await check(page);
    await choose(page, 'Card folder', join(folder, 'desk-card'));
    await page.getByRole('heading', { name: 'Is the firmware on this card ready?' }).waitFor();
    expect(await page.locator('#downloads').isHidden()).toBe(true);
    await page.close();
  });

  // Chromium makes no folder for a synthetic drop, so the entries (File and Directory Entries API) are fakes.
  it('takes a card, a pile and a manifest that are dropped', async () => {
    const folder = demo();
    const { page, quiet } = await openPage();
    const text = readFileSync(join(folder, 'manifest.yaml'), 'utf8');
    const bytes = [...readFileSync(join(folder, 'card/system/firmware/dunlin_font.bin'))];
    await page.evaluate(
      ([manifest, font]) => {
        const file = (name: string, part: BlobPart): object => ({
          isFile: true,
          isDirectory: false,
          name,
          file: (got: (file: File) => void) => got(new File([part], name)),
        });
        const dir = (name: string, inside: readonly object[]): object => ({
          isFile: false,
          isDirectory: true,
          name,
          createReader: () => {
            let left = [...inside];
            return {
              readEntries: (got: (entries: readonly object[]) => void) => {
                got(left.slice(0, 100)); // as Chromium gives them
                left = left.slice(100);
              },
            };
          },
        });
        const drop = (on: string, ...entries: readonly object[]): void => {
          const event = new DragEvent('drop', { bubbles: true, cancelable: true });
          const items = entries.map((entry) => ({ kind: 'file', webkitGetAsEntry: () => entry }));
          Object.defineProperty(event, 'dataTransfer', { value: { items } });
          document.querySelector(on)?.dispatchEvent(event);
        };
        const games = Array.from({ length: 250 }, (_, at) => file(`game ${String(at)}`, 'x'));
        const firmware = dir('system', [
          dir('firmware', [file('dunlin_font.bin', new Uint8Array(font))]),
        ]);
        drop('#form', dir('dropped', [firmware, dir('games', games)]), file('m.yaml', manifest));
        drop('#pile-step', dir('heap', [file('a.bin', 'x')]));
      },
      [text, bytes] as const,
    );
    await page.getByText('dropped: 251 files').waitFor();
    await page.getByText('heap: 1 file').waitFor();
    const { firmware, root } = await check(page);
    expect(root).toBe('dropped');
    expect(firmware.find(({ id }) => id === 'dunlin-font')?.judged).toBe(
      'system/firmware/dunlin_font.bin',
    );
    quiet();
    await page.close();
  });

  it('says so where folders cannot be picked', async () => {
    if (browser === null) throw new Error('no browser');
    const page = await browser.context.newPage();
    await page.addInitScript(() => {
      Reflect.deleteProperty(HTMLInputElement.prototype, 'webkitdirectory');
    });
    await page.goto(`file://${PAGE}`);
    await page.getByText('This browser cannot pick folders.').waitFor();
    expect(await runAxe(page)).toEqual([]);
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
    await lookAtPile(page);
    expect(await page.locator('img, #result script').count()).toBe(0);
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
    expect(await runAxe(page)).toEqual([]);
    await page.close();
  });

  it('says of a large card that was pulled out nothing but that', async () => {
    const folder = demo();
    for (let at = 0; at < 150; at++) writeFileSync(join(folder, 'card', `game ${String(at)}`), 'x');
    const { page } = await openPage();
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Card folder', join(folder, 'card'));
    rmSync(join(folder, 'card'), { recursive: true });
    await page.getByRole('button', { name: 'Check the card' }).click();
    await page.getByText('More than 100 files are not there any more').waitFor();
    expect(await page.locator('#downloads').isHidden()).toBe(true);
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
    const sound = async (): Promise<void> => {
      expect(await runAxe(page)).toEqual([]);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      expect(wide).toBeLessThanOrEqual(width);
    };
    await sound();
    await choose(page, 'Manifest', join(DEMO, 'mistakes.yaml'));
    await page.locator('.problem').first().waitFor();
    await sound();
    await choose(page, 'Posted list', join(DEMO, 'posted-list.md'));
    await page.getByRole('heading', { name: 'Drafted from the list' }).waitFor();
    await sound();
    await choose(page, 'Manifest', join(folder, 'manifest.yaml'));
    await choose(page, 'Card folder', join(folder, 'card'));
    await choose(page, 'Pile', join(folder, 'pile'));
    await check(page, 'trip');
    await sound();
    await lookAtPile(page);
    await sound();
    await page.close();
  });
});
