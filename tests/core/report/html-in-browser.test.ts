import { existsSync } from 'node:fs';
import { compareReports, renderReport, type Report } from '@firmtally/core';
import { advice, fact, hint } from '@firmtally/core/internal';
import axe from 'axe-core';
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

    it.each(['light', 'dark'] as const)(
      'has no barrier that axe finds, in %s (WCAG 2.2 A and AA, best practice)',
      async (colorScheme) => {
        const page = await browser.newPage({ colorScheme, bypassCSP: true });
        const report = await sampleReport();
        const since = compareReports(rotted(report), report, { unchangedTime: () => true });
        const hints = [hint('empty-root', {})];
        await open(page, { ...report, hints, since });
        await page.evaluate(
          'for (const each of document.querySelectorAll("details")) each.open = true',
        );
        await page.evaluate(axe.source);
        const found = await page.evaluate<AxeResults>('axe.run(document)');
        expect(found.violations.map(({ id, nodes }) => [id, nodes[0]?.html])).toEqual([]);
        expect(found.passes.map(({ id }) => id)).toContain('color-contrast');
        await page.close();
      },
    );

    it('has a light and a dark form', async () => {
      const page = await browser.newPage();
      await open(page, await sampleReport());
      const backgrounds = new Set<unknown>();
      for (const colorScheme of ['light', 'dark'] as const) {
        await page.emulateMedia({ colorScheme });
        backgrounds.add(await page.evaluate('getComputedStyle(document.body).backgroundColor'));
      }
      expect(backgrounds.size).toBe(2);
      await page.close();
    });

    it('breaks no word inside, links systems to their tasks, prints what is folded', async () => {
      const page = await browser.newPage({ viewport: { width: 390, height: 800 } });
      await open(page, await sampleReport());
      // One line box for each word that is not a path or a checksum.
      const broken = await page.evaluate(`(() => {
        const found = [];
        for (const element of document.querySelectorAll('h1, h2, h3, p, dt, summary, a, .status')) {
          const words = document.createTreeWalker(element, NodeFilter.SHOW_TEXT);
          for (let node = words.nextNode(); node !== null; node = words.nextNode()) {
            if (node.parentElement.closest('code') !== null) continue;
            for (const { 0: word, index } of node.data.matchAll(/[^\\s/_]+/g)) {
              const range = document.createRange();
              range.setStart(node, index);
              range.setEnd(node, index + word.length);
              const tops = new Set([...range.getClientRects()].map(({ top }) => Math.round(top)));
              if (tops.size > 1 && !word.includes('-')) found.push(word);
            }
          }
        }
        return found;
      })()`);
      expect(broken).toEqual([]);
      const dangling = await page.evaluate(
        `[...document.querySelectorAll('a')].filter((a) => document.querySelector(a.getAttribute('href')) === null).length`,
      );
      expect(dangling).toBe(0);
      expect(await page.locator('tbody a').count()).toBeGreaterThan(0);
      await page.emulateMedia({ media: 'print' });
      expect(await page.locator('nav').isVisible()).toBe(false);
      await page.close();
    });
  },
);

/** The report as it was before bits of every judged file changed. */
function rotted(report: Report): Report {
  const firmware = report.firmware.map((row) =>
    row.digests === null ? row : { ...row, digests: { ...row.digests, crc32: '00000000' } },
  );
  return { ...report, firmware };
}

interface AxeResults {
  readonly violations: readonly {
    readonly id: string;
    readonly nodes: readonly { readonly html: string }[];
  }[];
  readonly passes: readonly { readonly id: string }[];
}
