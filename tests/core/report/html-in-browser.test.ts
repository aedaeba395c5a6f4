import { existsSync } from 'node:fs';
import { advice, fact, renderReport, type Report } from '@firmtally/core';
import { chromium, type Browser, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sampleReport } from '../../support/sample-report.js';

const EXECUTABLE = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
].find((path) => existsSync(path));

const HOSTILE = [
  '<script>window.harmed = 1</script>',
  '"><img src=x onerror="window.harmed = 2">',
  '</style></title></table><svg onload=window.harmed=3>',
  "' onmouseover='window.harmed = 4",
  '<!-- &lt; &amp;lt; &#60; --> <a href="javascript:window.harmed=5">x</a>',
  '${window.harmed = 6} {{harmed}} %3Cscript%3E',
];

/** The sample with hostile text in every place that comes from outside. */
async function hostileReport(text: string): Promise<Report> {
  const report = await sampleReport();
  return {
    ...report,
    root: text,
    manifests: report.manifests.map((source) => ({ ...source, title: text })),
    selection: { ...report.selection, loadout: 'x', loadoutName: text },
    systems: report.systems.map((row) => ({ ...row, name: text })),
    firmware: report.firmware.map((row) => ({
      ...row,
      expectedPath: text,
      foundAt: `found ${text}`,
      dump: text,
      judged: text,
      advice: row.advice === null ? null : advice('replace-with', { from: text }),
      facts: [fact('unlisted', { path: text, reason: text })],
      note: text,
    })),
    strays: [{ path: text, size: 1 }],
    faults: [{ path: text, code: 'io-error', message: text }],
  };
}

describe.skipIf(EXECUTABLE === undefined)(
  'the HTML report in Chromium (skipped where there is none)',
  () => {
    let browser: Browser;
    beforeAll(async () => {
      browser = await chromium.launch({ executablePath: EXECUTABLE ?? '', args: ['--no-sandbox'] });
    });
    afterAll(async () => {
      await browser.close();
    });

    async function open(page: Page, report: Report): Promise<string[]> {
      const requests: string[] = [];
      page.on('request', (request) => requests.push(request.url()));
      await page.setContent(renderReport(report, 'html', { detail: true }), { waitUntil: 'load' });
      return requests;
    }

    it.each(HOSTILE)('shows %s as text and does nothing of it', async (text) => {
      const page = await browser.newPage();
      const requests = await open(page, await hostileReport(text));
      expect(await page.evaluate('window.harmed')).toBeUndefined();
      expect(await page.evaluate('document.scripts.length + document.images.length')).toBe(0);
      expect(await page.title()).toContain(text);
      expect(await page.locator('tbody tr th').first().textContent()).toBe(text);
      expect(requests).toEqual([]);
      await page.close();
    });

    it.each([320, 390, 800, 1400])('fits a screen %i pixels wide', async (width) => {
      const page = await browser.newPage({ viewport: { width, height: 800 } });
      const report = await sampleReport();
      const long = 'long_'.repeat(40);
      await open(page, {
        ...report,
        systems: report.systems.map((row) => ({ ...row, name: long })),
        firmware: report.firmware.map((row) => ({ ...row, expectedPath: long })),
      });
      expect(
        await page.evaluate(
          'document.documentElement.scrollWidth - document.documentElement.clientWidth',
        ),
      ).toBe(0);
      await page.close();
    });

    it('has a light and a dark form, both with enough contrast (WCAG 2.2, 1.4.3: 4.5 to 1)', async () => {
      const page = await browser.newPage();
      await open(page, await sampleReport());
      const backgrounds = new Set<string>();
      for (const colorScheme of ['light', 'dark'] as const) {
        await page.emulateMedia({ colorScheme });
        const colors = (selector: string): Promise<string[]> =>
          page.evaluate(
            `[getComputedStyle(document.querySelector('${selector}')).color, getComputedStyle(document.body).backgroundColor]`,
          );
        for (const selector of ['body', '.ready', '.unproven', '.not-ready', '.soft', 'footer']) {
          const [text = '', back = ''] = await colors(selector);
          backgrounds.add(back);
          expect(contrast(text, back), `${colorScheme} ${selector}`).toBeGreaterThanOrEqual(4.5);
        }
      }
      expect(backgrounds.size).toBe(2);
      await page.close();
    });
  },
);

/** Contrast ratio of two `rgb(r, g, b)` colours (WCAG 2.2, "contrast ratio" and "relative luminance"). */
function contrast(a: string, b: string): number {
  const [dark = 0, light = 0] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (light + 0.05) / (dark + 0.05);
}

function luminance(color: string): number {
  const [red = 0, green = 0, blue = 0] = (color.match(/\d+/g) ?? []).map((digits) => {
    const channel = Number(digits) / 255;
    return channel <= 0.04045 ? channel / 12.92 : ((channel + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}
