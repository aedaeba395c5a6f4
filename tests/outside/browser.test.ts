/** A real browser (Debian's chromium) shows the HTML report. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { noChromium, openChromium } from '../support/chromium.js';
import { firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

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
