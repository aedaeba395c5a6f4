import { dirname, resolve } from 'node:path';
import type { Entry, Fault } from '@firmtally/core';
import { buildInventory } from '@firmtally/core/internal';
import type { DigesterOptions } from '../digest/digester.js';
import { resolveLinks } from '../folder/native-path.js';
import { openSource, type OpenSource } from '../folder/open-source.js';
import { refuseOverlap } from './overlap.js';

/** A source to place from, and what is in it. */
export interface ListedSource extends OpenSource {
  /** In UTF-8 order of path. */
  readonly entries: readonly Entry[];
  readonly faults: readonly Fault[];
  /** Absolute, links resolved: the folder, or the one that the single file lies in. */
  readonly at: string;
}

/**
 * Opens the sources, each once. None may be the card, lie on it, or hold it:
 * files on the card are found without being named, and what is moved on the
 * card must never be what was promised to stay untouched.
 *
 * @param cwd folder that relative paths start from
 * @param card path of the card
 * @throws FirmtallyError('usage'), or what {@link openSource} throws
 */
export async function openSources(
  names: readonly string[],
  cwd: string,
  card: string,
  options: DigesterOptions,
): Promise<readonly ListedSource[]> {
  const cardReal = resolveLinks(resolve(cwd, card));
  const sources: ListedSource[] = [];
  for (const name of new Set(names)) {
    const source = await openSource(name, cwd, options);
    const path = resolveLinks(resolve(cwd, name));
    const at = source.kind === 'folder' ? path : dirname(path);
    refuseOverlap({ name, kind: source.kind, folder: at }, cardReal);
    const { entries, faults } = await buildInventory(source.folder);
    sources.push({ ...source, entries, faults, at });
  }
  return sources;
}
