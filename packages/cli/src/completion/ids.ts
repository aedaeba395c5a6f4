import { FirmtallyError } from '@firmtally/core';
import type { Context } from '../context.js';
import { loadManifests } from '../load-manifests.js';

/** A word that may stand there, and what it is for. */
export interface Offer {
  readonly word: string;
  readonly describe?: string;
}

/** What has ids that a person types. */
export type IdKind = 'systems' | 'loadouts';

/**
 * Ids of the manifests given with `-m`, or found here or in a folder that was typed. None, without a word, where one cannot
 * be read or is wrong: this runs while somebody types.
 */
export async function idsIn(
  kind: IdKind,
  typed: readonly string[],
  context: Context,
): Promise<Offer[]> {
  const manifests = typed.filter((_, index) => /^(?:-m|--manifest)$/.test(typed[index - 1] ?? ''));
  const silent: Context = { ...context, stderr: { write: () => Promise.resolve() } };
  try {
    const manifest = await loadManifests(
      manifests.filter((path) => path !== '-'),
      typed.filter((word) => !word.startsWith('-')),
      silent,
    );
    return [...manifest[kind].values()].map(({ id, name }) => ({ word: id, describe: name ?? id }));
  } catch (error) {
    if (error instanceof FirmtallyError) return [];
    throw error;
  }
}
