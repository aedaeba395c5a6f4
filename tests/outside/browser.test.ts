/** A real browser (Debian's chromium) audits a picked folder, and shows the HTML report. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Report } from '@firmtally/core';
import { buildPage } from '../../examples/browser/build.mjs';
import { generate } from '../../examples/demo/generate.mjs';
import { noChromium, openChromium, serve } from '../support/chromium.js';
import { firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

const MANIFEST = fileURLToPath(new URL('../../examples/demo/manifest.yaml', import.meta.url));

let browser: Awaited<ReturnType<typeof openChromium>> | null = null;
beforeAll(async () => {
  if (noChromium === null) browser = await openChromium();
}, 60_000);
afterAll(() => browser?.close());

/** A new page; whatever the page complains of is in `complaints`. */
async function newPage(): Promise<{ readonly page: Page; readonly complaints: string[] }> {
  if (browser === null) throw new Error('no browser');
  const page = await browser.context.newPage();
  const complaints: string[] = [];
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error') complaints.push(message.text());
  });
  page.on('dialog', (dialog) => {
    complaints.push(`dialog: ${dialog.message()}`);
    void dialog.dismiss();
  });
  return { page, complaints };
}

// A skipped suite's title is the only place vitest has for the reason.
const title = (text: string): string => (noChromium === null ? text : `${text} (${noChromium})`);

describe.skipIf(noChromium !== null)(title('the page in examples/browser'), () => {
  async function auditInPage(folder: string, manifests: readonly string[]): Promise<Page> {
    const site = tempFolder();
    await buildPage(site);
    const server = await serve(site);
    try {
      const { page, complaints } = await newPage();
      await page.goto(server.url);
      await page.setInputFiles('#folder', folder);
      await page.setInputFiles('#manifests', [...manifests]);
      await page.click('button');
      await page.locator('#summary', { hasText: /ready|errors|did not work/u }).waitFor();
      expect(complaints.filter((text) => !text.includes('favicon'))).toEqual([]);
      return page;
    } finally {
      server.close();
    }
  }

  it('finds what the command line finds, ZIP members included', async () => {
    const demo = tempFolder();
    generate(demo);
    const card = join(demo, 'card');
    const page = await auditInPage(card, [MANIFEST]);
    const { stdout } = await firmtally(['audit', card, '-m', MANIFEST, '--format', 'json']);
    const report = JSON.parse(stdout) as Report;
    expect(await page.locator('#systems li').allTextContents()).toEqual(
      report.systems.map(({ name, readiness }) => `${name}: ${readiness}`),
    );
    // A browser lists files only: the folder in a file's place is not there for it.
    const notAFile = report.firmware.filter(({ verdict }) => verdict === 'unreadable');
    expect(notAFile.map(({ id }) => id)).toEqual(['whimbrel-bios']);
    const todo = report.firmware.filter(
      ({ advice, verdict }) => advice !== null && verdict !== 'unreadable',
    );
    const lines = await page.locator('#todo li').allTextContents();
    expect(lines.filter((line) => !line.startsWith('system/firmware/whimbrel_bios.bin'))).toEqual(
      todo.map(({ expectedPath, verdict, advice }) => `${expectedPath}: ${verdict}${advice ?? ''}`),
    );
    await page.close();
  }, 60_000);

  it('shows hostile names as text', async () => {
    const root = join(tempFolder(), 'card');
    mkdirSync(root);
    const name = '<img src=x onerror=alert(1)>.bin';
    writeFileSync(join(root, name), 'x');
    const manifest = join(root, '..', 'm.yaml');
    writeFileSync(
      manifest,
      JSON.stringify({
        firmtally: 1,
        firmware: { a: { path: name, dumps: [{ crc32: '00000001' }] } },
        systems: { a: { name: '<script>alert(2)</script>\u202e', requires: ['a'] } },
      }),
    );
    const page = await auditInPage(root, [manifest]);
    expect(await page.locator('#systems li').allTextContents()).toEqual([
      '<script>alert(2)</script>\\u{202e}: not-ready',
    ]);
    expect(await page.locator('#todo li').first().textContent()).toContain(name);
    expect(await page.locator('img, ul script').count()).toBe(0);
    await page.close();
  }, 60_000);

  it('lists the problems of a manifest', async () => {
    const root = join(tempFolder(), 'card');
    mkdirSync(root);
    writeFileSync(join(root, 'a.bin'), 'x');
    writeFileSync(join(root, 'm.yaml'), 'firmtally: 2\n');
    const page = await auditInPage(root, [join(root, 'm.yaml')]);
    expect(await page.locator('#summary').textContent()).toBe('The manifest has errors.');
    expect(await page.locator('#problems li').first().textContent()).toMatch(/^m\.yaml:1:12/u);
    await page.close();
  }, 60_000);
});

describe.skipIf(noChromium !== null)(title('the HTML report'), () => {
  const HOSTILE = '"><img src=x onerror=alert(1)><script>alert(2)</script>&lt;\u202e\u001b[31m';

  async function reportPage(): Promise<{ readonly page: Page; readonly complaints: string[] }> {
    const base = tempFolder();
    const root = join(base, 'card');
    // A long word without a break, and a name full of markup.
    const path = `${'w'.repeat(120)}/${HOSTILE.replaceAll('/', '\u2215')}`;
    mkdirSync(join(root, 'w'.repeat(120)), { recursive: true });
    writeFileSync(join(root, 'w'.repeat(120), 'stray <b>bold'), 'x');
    const manifest = join(base, 'm.json');
    const ids = ['a', 'b', 'c'];
    writeFileSync(
      manifest,
      JSON.stringify({
        firmtally: 1,
        title: HOSTILE,
        firmware: Object.fromEntries(
          ids.map((id) => [
            id,
            { path: `${path}${id}`, note: HOSTILE, dumps: [{ md5: '0'.repeat(32) }] },
          ]),
        ),
        systems: Object.fromEntries(
          ids.map((id) => [
            id,
            { name: `${HOSTILE} ${id}`, requires: [{ 'any-of': ids }], optional: [id] },
          ]),
        ),
      }),
    );
    const args = ['audit', root, '-m', manifest, '--format', 'html', '--detail', '--strays'];
    const { stdout, code, stderr } = await firmtally(args);
    expect(code, stderr).toBe(1);
    const file = join(base, 'report.html');
    writeFileSync(file, stdout);
    const opened = await newPage();
    await opened.page.setViewportSize({ width: 360, height: 800 });
    await opened.page.goto(`file://${file}`);
    return opened;
  }

  it('makes no markup and no script of hostile names, and loads nothing', async () => {
    const { page, complaints } = await reportPage();
    expect(complaints).toEqual([]);
    expect(await page.locator('img, script, iframe, object, link, b').count()).toBe(0);
    const text = await page.locator('body').innerText();
    expect(text).toContain('"><img src=x onerror=alert(1)><script>alert(2)</script>&lt;');
    expect(text).toContain('\\u{202e}');
    expect(text).not.toContain('\u202e');
    const loaded = await page.evaluate(() => performance.getEntriesByType('resource').length);
    expect(loaded).toBe(0);
    await page.close();
  }, 60_000);

  it.each(['light', 'dark'] as const)(
    'fits a phone of 360 pixels, %s',
    async (colorScheme) => {
      const { page } = await reportPage();
      await page.emulateMedia({ colorScheme });
      // SCREENSHOTS names a folder for those who want to look.
      const folder = process.env['SCREENSHOTS'];
      if (folder !== undefined) {
        await page.screenshot({ path: join(folder, `report-${colorScheme}.png`), fullPage: true });
      }
      const { inner, scroll, back } = await page.evaluate(() => ({
        inner: innerWidth,
        scroll: document.documentElement.scrollWidth,
        back: getComputedStyle(document.body).backgroundColor,
      }));
      expect(inner).toBe(360);
      expect(scroll).toBeLessThanOrEqual(inner);
      const channels = (back.match(/\d+/gu) ?? []).slice(0, 3).map(Number);
      const isDark = channels.every((channel) => channel < 64);
      expect(isDark).toBe(colorScheme === 'dark');
      await page.close();
    },
    60_000,
  );
});
