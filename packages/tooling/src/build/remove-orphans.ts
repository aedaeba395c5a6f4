import { existsSync } from 'node:fs';
import { readdir, rm } from 'node:fs/promises';
import { join, relative } from 'node:path';

/**
 * Removes what tsc once made of sources that are gone by now, and would be published.
 *
 * @param dist folder tsc writes to
 * @param src folder it reads
 */
export async function removeOrphans(dist: string, src: string): Promise<void> {
  for (const entry of await readdir(dist, { recursive: true, withFileTypes: true })) {
    const path = join(entry.parentPath, entry.name);
    const made = /^(.*?)(?:\.js|\.js\.map|\.d\.ts)$/u.exec(relative(dist, path));
    if (!entry.isFile() || made === null) continue;
    if (!existsSync(join(src, `${made[1] ?? ''}.ts`))) await rm(path);
  }
}
