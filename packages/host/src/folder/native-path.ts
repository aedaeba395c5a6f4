import { realpathSync } from 'node:fs';
import { sep } from 'node:path';
import { decodeName, encodeName } from '@firmtally/core';
import { hasUndecodableBytes } from '@firmtally/core/internal';
import { withSlashes } from './with-slashes.js';

/** What fs takes: text, or bytes where a name is not UTF-8. */
export type NativePath = string | Buffer;

/** A decoded path (see core's bytes/names.ts) as fs needs it. Windows names are UTF-16, so text is exact there. */
export function toNative(path: string): NativePath {
  if (process.platform === 'win32' || !hasUndecodableBytes(path)) return path;
  return Buffer.from(encodeName(path));
}

/** The path with every link resolved, decoded. Throws fs errors. */
export function resolveLinks(path: string): string {
  const native = toNative(path);
  try {
    return decodeName(realpathSync.native(native, { encoding: 'buffer' }));
  } catch (error) {
    // Windows answers so for RAM disks, whose drivers do not tell a final path; Node's own way asks for less.
    if ((error as NodeJS.ErrnoException).code !== 'EISDIR' || typeof native !== 'string')
      throw error;
    return realpathSync(native);
  }
}

/** `path` relative to `root` with '/' separators; null when it lies outside. Both resolved. */
export function relativeTo(root: string, path: string): string | null {
  const prefix = root.endsWith(sep) ? root : root + sep;
  if (!path.startsWith(prefix)) return null;
  return withSlashes(path.slice(prefix.length));
}
