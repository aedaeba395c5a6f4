import type { Leftover } from '@firmtally/core';
import { folderOf } from '@firmtally/core/internal';
import type { CardFs } from './card-fs.js';
import { assertFolder, ensureFolder } from './folders.js';
import { moveToFreeName } from './move.js';
import { PlaceStopped, toPlaceError } from './place-error.js';

/** What became of a leftover; `message` is one plain sentence. */
export type LeftoverResult = { readonly leftover: Leftover } & (
  | { readonly outcome: 'done'; readonly message: null }
  | { readonly outcome: 'failed'; readonly message: string }
);

/**
 * Removes, restores or keeps what a killed run left. Outermost folders first, so that
 * a path inside a folder that gets its name back is looked for again.
 *
 * @throws PlaceStopped when the card is full, read-only or gone
 */
export async function clearLeftovers(
  leftovers: readonly Leftover[],
  card: CardFs,
): Promise<readonly LeftoverResult[]> {
  const results: LeftoverResult[] = [];
  for (const leftover of leftovers) {
    try {
      await clear(leftover, card);
      results.push({ leftover, outcome: 'done', message: null });
    } catch (error) {
      const known = toPlaceError(error);
      if (known instanceof PlaceStopped) throw known;
      results.push({ leftover, outcome: 'failed', message: known.message });
    }
  }
  return results;
}

async function clear({ path, code, to }: Leftover, card: CardFs): Promise<void> {
  const folder = folderOf(path);
  await assertFolder(card, folder);
  const there = await card.stat(path);
  if (there === null) return;
  if (code === 'remove' || to === null) {
    if (there.kind === 'file') await card.remove(path);
  } else if (there.kind === 'file' || there.kind === 'folder') {
    if (code === 'keep') await ensureFolder(card, folderOf(to));
    await moveToFreeName(card, path, to);
    await card.syncFolder(folderOf(to));
  }
  await card.syncFolder(folder);
}
