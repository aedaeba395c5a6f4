import { accessSync, constants, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';

/** Linux keeps a file system in memory here, where fsync costs nothing. */
const IN_MEMORY = '/dev/shm';

/** A fresh folder for tests that sync thousands of times; removed when the running test ends. */
export function fastFolder(): string {
  const folder = mkdtempSync(join(isWritable(IN_MEMORY) ? IN_MEMORY : tmpdir(), 'firmtally-test-'));
  onTestFinished(() => {
    rmSync(folder, { recursive: true, force: true });
  });
  return folder;
}

function isWritable(folder: string): boolean {
  try {
    accessSync(folder, constants.W_OK);
    return true;
  } catch {
    return false;
  }
}
