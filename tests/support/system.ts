/** What tests ask of the system they run on; where it cannot be had they skip and say so. */
import { lstatSync, mkdtempSync, rmSync, symlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { TestContext } from 'vitest';

/** Why there can be no links here; null where there can. Windows keeps them to administrators, and Wine 8 only pretends. */
const reason = probe();

function probe(): string | null {
  const folder = mkdtempSync(join(tmpdir(), 'firmtally-links-'));
  try {
    const link = join(folder, 'link');
    symlinkSync(folder, link);
    return lstatSync(link).isSymbolicLink() ? null : 'what was made is no link';
  } catch (error) {
    return (error as NodeJS.ErrnoException).code ?? String(error);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Whether a test can make symbolic links here. */
export const MAKES_LINKS = reason === null;

/** Skips the test, with the reason, where it cannot make the links it is about. */
export function needsLinks(context: TestContext): void {
  if (reason !== null) context.skip(`this system makes no links for us: ${reason}`);
}

/** Skips the test, with the reason, where no file can have control characters, quotes or the like in its name. */
export function needsAnyNames(context: TestContext): void {
  if (process.platform === 'win32') context.skip('Windows holds no such names');
}
