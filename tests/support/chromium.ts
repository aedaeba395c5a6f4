import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium, type BrowserContext } from 'playwright-core';

/** CHROMIUM names the browser; else Debian's. */
const PATH = process.env['CHROMIUM'] ?? '/usr/bin/chromium';

/** Why browser tests cannot run here; null when they can. */
export const noChromium: string | null = existsSync(PATH)
  ? null
  : `no chromium at ${PATH}; install it, or name one in CHROMIUM`;

/** A browser with a profile of its own, removed on close. */
export async function openChromium(): Promise<{
  readonly context: BrowserContext;
  close(): Promise<void>;
}> {
  const profile = mkdtempSync(join(tmpdir(), 'firmtally-chromium-'));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: PATH,
    headless: true,
    // A container's root has no sandbox; nothing but our own pages is opened.
    chromiumSandbox: false,
    args: [
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
    ],
  });
  return {
    context,
    close: async () => {
      await context.close();
      rmSync(profile, { recursive: true, force: true });
    },
  };
}
