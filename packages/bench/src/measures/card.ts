import { createHash } from 'node:crypto';
import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';

/** A card with one invented file on it, and a manifest by which it is ready. */
export async function oneFileCard(folder: string): Promise<{ card: string; manifest: string }> {
  const card = join(folder, 'card');
  await mkdir(card, { recursive: true });
  const bytes = Buffer.from('one invented file');
  await writeFile(join(card, 'boot.bin'), bytes);
  const manifest = join(folder, 'one-file.yaml');
  await writeFile(manifest, manifestOf([entry('boot', 'boot.bin', bytes)]));
  return { card, manifest };
}

/** One entry, as lines of a manifest. */
export function entry(id: string, path: string, bytes: Uint8Array): string {
  const sha1 = createHash('sha1').update(bytes).digest('hex');
  return `  ${id}:\n    path: ${path}\n    dumps: [{ size: ${String(bytes.length)}, sha1: ${sha1} }]\n`;
}

/** A manifest of one system that requires all of the entries. */
export function manifestOf(entries: readonly string[]): string {
  const ids = entries.map((text) => /^ *([^:]+):/.exec(text)?.[1] ?? '');
  return `firmtally: 1\nfirmware:\n${entries.join('')}systems:\n  all:\n    requires: [${ids.join(', ')}]\n`;
}
