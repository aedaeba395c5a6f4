import { dirname, resolve } from 'node:path';
import type { DigesterOptions } from '../digest/digester.js';
import { resolveLinks } from '../folder/native-path.js';
import { openSource, type OpenSource } from '../folder/open-source.js';
import { refuseOverlap } from './overlap.js';

/** A source to place from. */
export interface PlacedSource extends OpenSource {
  /** Absolute, links resolved: the folder, or the one that the single file lies in. */
  readonly at: string;
}

/**
 * Opens the sources, each once. None may be the card, lie on it, or hold it:
 * files on the card are found without being named, and what is moved on the
 * card must never be what was promised to stay untouched.
 *
 * @param cwd folder that relative paths start from
 * @param card absolute path of the card, links resolved
 * @throws FirmtallyError('usage'), or what {@link openSource} throws
 */
export async function openSources(
  names: readonly string[],
  cwd: string,
  card: string,
  options: DigesterOptions,
): Promise<readonly PlacedSource[]> {
  const sources: PlacedSource[] = [];
  for (const name of new Set(names)) {
    const source = await openSource(name, cwd, options);
    const path = resolveLinks(resolve(cwd, name));
    const at = source.kind === 'folder' ? path : dirname(path);
    refuseOverlap({ name, kind: source.kind, folder: at }, card);
    sources.push({ ...source, at });
  }
  return sources;
}
