/** The page in Debian's chromium, opened from disk, driven as a person would. */
import { cpSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Report } from '@firmtally/core';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect } from 'vitest';
import { generate } from '../../../examples/demo/generate.mjs';
import { noChromium, openChromium } from '../chromium.js';
import { tempFolder } from '../temp.js';

export const DEMO = fileURLToPath(new URL('../../../examples/demo/', import.meta.url));
const PAGE = fileURLToPath(new URL('../../../packages/page/dist/firmtally.html', import.meta.url));

/** A skipped suite's title is the only place vitest has for the reason. */
export const titled = (text: string): string =>
  noChromium === null ? text : `${text} (${noChromium})`;

/** One browser for a test file; each page is a tab of it. */
export function pagesOf(): { open(prepare?: (page: Page) => Promise<unknown>): Promise<OpenPage> } {
  let browser: Awaited<ReturnType<typeof openChromium>> | null = null;
  beforeAll(async () => {
    if (noChromium === null) browser = await openChromium();
  }, 60_000);
  afterAll(() => browser?.close());
  return {
    open: async (prepare) => {
      if (browser === null) throw new Error('no browser');
      return openPage(await browser.context.newPage(), prepare);
    },
  };
}

/** A page, and what it must never do: ask for anything, or complain. */
export interface OpenPage {
  readonly page: Page;
  /** Closes it; nothing was heard of it. */
  readonly close: () => Promise<void>;
}

async function openPage(
  page: Page,
  prepare: (page: Page) => Promise<unknown> = () => Promise.resolve(),
): Promise<OpenPage> {
  const heard: string[] = [];
  page.on('pageerror', (error) => heard.push(error.message));
  page.on('dialog', (dialog) => heard.push(`dialog: ${dialog.message()}`));
  page.on('console', (message) => {
    if (message.type() === 'error') heard.push(message.text());
  });
  page.on('request', (request) => {
    if (!/^(?:file|blob|data):/.test(request.url())) heard.push(`request: ${request.url()}`);
  });
  await prepare(page);
  await page.goto(`file://${PAGE}`);
  return {
    page,
    close: async () => {
      expect(heard).toEqual([]);
      await page.close();
    },
  };
}

export async function choose(page: Page, label: string, ...paths: string[]): Promise<void> {
  await page.getByLabel(label).setInputFiles(paths);
}

/** The text of the file that the page saves when that button is pressed. */
export async function saved(page: Page, button: string): Promise<string> {
  const download = page.waitForEvent('download');
  await page.getByRole('button', { name: button }).click();
  return readFileSync(await (await download).path(), 'utf8');
}

/** What a person may choose beside the manifest and the card. */
export interface Chosen {
  readonly loadout?: string;
  readonly systems?: readonly string[];
  readonly wide?: boolean;
  readonly strict?: boolean;
  readonly strays?: boolean;
}

/** Checks the card and gives the report that the page would save; what the page says instead is thrown. */
export async function check(page: Page, chosen: Chosen = {}): Promise<Report> {
  return JSON.parse(await page.evaluate(checkInPage, chosen)) as Report;
}

/** In one go: each look from outside costs as much as an audit. */
async function checkInPage(chosen: Chosen): Promise<string> {
  const find = <E extends HTMLElement>(selector: string, kind: new () => E): E => {
    const found = document.querySelector(selector);
    if (!(found instanceof kind)) throw new Error(`no ${selector}`);
    return found;
  };
  const until = async <T>(look: () => T | null | undefined | false): Promise<T> => {
    for (;;) {
      const seen = look();
      if (seen !== null && seen !== undefined && seen !== false) return seen;
      await new Promise((resolve) => setTimeout(resolve, 1));
    }
  };
  const button = find('#check-card', HTMLButtonElement);
  const said = (): string => find('#status', HTMLElement).textContent;
  const refuse = (): void => {
    if (said() !== '') throw new Error(`the page says: ${said()}`);
  };
  await until(() => {
    refuse();
    return !button.disabled;
  });
  const loadout = find('#loadout', HTMLSelectElement);
  loadout.value = chosen.loadout ?? '';
  loadout.dispatchEvent(new Event('change', { bubbles: true }));
  const more = find('#more', HTMLDetailsElement);
  const wanted = new Set(chosen.systems ?? []);
  more.open = wanted.size > 0;
  const boxes = (): NodeListOf<HTMLInputElement> =>
    document.querySelectorAll('#choose-systems input');
  for (const id of wanted) await until(() => [...boxes()].some(({ value }) => value === id));
  const ticks = [
    ...[...boxes()].map((box) => [box, wanted.has(box.value)] as const),
    ...(['wide', 'strict', 'strays'] as const).map(
      (name) => [find(`#choose-${name}`, HTMLInputElement), chosen[name] ?? false] as const,
    ),
  ];
  for (const [box, isTicked] of ticks) if (box.checked !== isTicked) box.click();
  find('#downloads', HTMLElement).replaceChildren();
  button.click();
  const save = await until(() => {
    if (!button.disabled) refuse();
    return [...document.querySelectorAll<HTMLButtonElement>('#downloads button')].find((each) =>
      each.textContent.includes('JSON'),
    );
  });
  // The bytes that would be saved; that the browser saves them is tested once.
  const was = URL.createObjectURL.bind(URL);
  try {
    const blob = await new Promise<Blob>((resolve) => {
      HTMLAnchorElement.prototype.click = () => undefined;
      URL.createObjectURL = (given) => {
        resolve(given as Blob);
        return was(given);
      };
      save.click();
    });
    const text = await blob.text();
    await until(() => !button.disabled);
    return text;
  } finally {
    URL.createObjectURL = was;
    // What HTMLElement has is seen again.
    Reflect.deleteProperty(HTMLAnchorElement.prototype, 'click');
  }
}

export async function lookAtPile(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'What is in the pile?' }).click();
  await page.getByRole('heading', { name: 'What is in the pile' }).waitFor();
}

/** A demo whose card holds files only: a browser does not see a folder without files. */
export function demo(): string {
  const folder = tempFolder();
  generate(folder);
  rmSync(join(folder, 'card/system/firmware/whimbrel_bios.bin'), { recursive: true, force: true });
  cpSync(join(DEMO, 'manifest.yaml'), join(folder, 'manifest.yaml'));
  return folder;
}
