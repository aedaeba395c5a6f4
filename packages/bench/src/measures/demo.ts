import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { timed } from '../run.js';

const inWorkspace = (path: string): string =>
  fileURLToPath(new URL(`../../../../${path}`, import.meta.url));

/** The demo's hand-written manifest. */
export const DEMO_MANIFEST = inWorkspace('examples/demo/manifest.yaml');

/** The demo's card, made first if it is not there. */
export async function demoCard(): Promise<string> {
  const card = inWorkspace('.demo/card');
  if (!existsSync(card)) await timed(process.execPath, [inWorkspace('examples/demo/generate.mjs')]);
  return card;
}
