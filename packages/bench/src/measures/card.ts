import { createHash } from 'node:crypto';
import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import type { Algorithm } from '@firmtally/core';

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
export function entry(
  id: string,
  path: string,
  bytes: Uint8Array,
  algorithms: readonly Algorithm[] = ['sha1'],
): string {
  const digests = algorithms.map((each) => `${each}: "${digestOf(bytes, each)}"`);
  return `  ${id}:\n    path: ${path}\n    dumps: [{ size: ${String(bytes.length)}, ${digests.join(', ')} }]\n`;
}

function digestOf(bytes: Uint8Array, algorithm: Algorithm): string {
  if (algorithm !== 'crc32') return createHash(algorithm).update(bytes).digest('hex');
  return crc32(bytes).toString(16).padStart(8, '0');
}

/** A manifest of one system that requires all of the entries. */
export function manifestOf(entries: readonly string[]): string {
  const ids = entries.map((text) => /^ *([^:]+):/.exec(text)?.[1] ?? '');
  return `firmtally: 1\nfirmware:\n${entries.join('')}systems:\n  all:\n    requires: [${ids.join(', ')}]\n`;
}
