import { baseName, foldCase, folderOf, foldersAbove } from '@firmtally/core/internal';
import type { CardFs } from './card-fs.js';
import { StepFailure } from './place-error.js';

/**
 * Makes sure that a folder and all above it are real folders on the card, and
 * creates those that are missing. A link on the way is never followed.
 *
 * Node has no openat(2): between this check and the call that relies on it, a
 * few microseconds, another program could still swap a folder for a link. It is
 * therefore made again before a file gets its final name.
 */
export async function ensureFolder(card: CardFs, folder: string): Promise<void> {
  for (const path of withAbove(folder)) {
    const there = await card.stat(path);
    if (there === null) {
      await card.makeFolder(path);
      await card.syncFolder(folderOf(path));
    } else if (there.kind !== 'folder') {
      throw notAFolder(path, there.kind);
    } else {
      await assertListed(card, path);
    }
  }
  await assertInside(card, folder);
}

/** Folders that were seen in a listing, so that each is looked for once. */
const listed = new WeakMap<CardFs, Set<string>>();

/** A folder that is found but not listed is another one's short alias: `SYSTEM~1` opens `System files` on FAT. */
async function assertListed(card: CardFs, path: string): Promise<void> {
  const known = listed.get(card) ?? new Set();
  listed.set(card, known);
  if (known.has(path)) return;
  const name = foldCase(baseName(path));
  if (!(await card.list(folderOf(path))).some((each) => foldCase(each) === name)) {
    throw new StepFailure(
      `${path} already opens another folder: on this card it is the short alias of a longer name.`,
    );
  }
  known.add(path);
}

/** The same without creating anything. */
export async function assertFolder(card: CardFs, folder: string): Promise<void> {
  for (const path of withAbove(folder)) {
    const there = await card.stat(path);
    if (there?.kind !== 'folder') throw notAFolder(path, there?.kind ?? null);
  }
  await assertInside(card, folder);
}

async function assertInside(card: CardFs, folder: string): Promise<void> {
  const real = await card.resolve(folder);
  // Letter case may differ: FAT opens a folder under any, and says which is its own.
  if (real === null || foldCase(real) !== foldCase(folder)) {
    throw new StepFailure(
      `The folder ${folder} leads elsewhere; nothing is written through a link.`,
    );
  }
}

/** A folder and all above it, the outermost first; nothing for the root. */
function withAbove(folder: string): string[] {
  return folder === '' ? [] : [...foldersAbove(folder), folder];
}

function notAFolder(path: string, kind: string | null): StepFailure {
  if (kind === null) return new StepFailure(`The folder ${path} vanished meanwhile.`);
  return new StepFailure(
    kind === 'link'
      ? `${path} is a link, not a folder; nothing is written through a link.`
      : `${path} is a ${kind}, not a folder.`,
  );
}
