import { mkdtempSync } from 'node:fs';
import { rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';

/** A fresh folder, removed when the running test ends. */
export function tempFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'firmtally-test-'));
  // On Windows a file stays for as long as a task that was ended has it open.
  onTestFinished(() => rm(folder, { recursive: true, force: true, maxRetries: 5 }));
  return folder;
}
