import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:http';
import { readFile } from 'node:fs/promises';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { extname, join } from 'node:path';
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

const TYPES: Readonly<Record<string, string>> = { '.html': 'text/html', '.js': 'text/javascript' };

/** Serves the files directly in a folder on the loopback address. */
export async function serve(folder: string): Promise<{ readonly url: string; close(): void }> {
  const server = createServer((request, response) => {
    const name = request.url === '/' ? 'index.html' : (request.url ?? '').slice(1);
    if (!/^[\w-]+\.\w+$/u.test(name)) {
      response.writeHead(404).end();
      return;
    }
    readFile(join(folder, name)).then(
      (bytes) => response.writeHead(200, { 'content-type': TYPES[extname(name)] }).end(bytes),
      () => response.writeHead(404).end(),
    );
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  return { url: `http://127.0.0.1:${port}/`, close: () => server.close() };
}
