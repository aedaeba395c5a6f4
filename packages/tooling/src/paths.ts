import { fileURLToPath } from 'node:url';

/** Absolute path of something in the workspace. */
export function inWorkspace(path: string): string {
  return fileURLToPath(new URL(`../../../${path}`, import.meta.url));
}
