import { randomBytes } from 'node:crypto';
import { foldCase, halfFixedName, baseName, folderOf, joinPath } from '@firmtally/core/internal';
import type { CardFs } from './card-fs.js';
import { StepFailure } from './place-error.js';

/** Sixteen random hex digits for a temporary name. */
export function newToken(): string {
  return randomBytes(8).toString('hex');
}

/**
 * Puts a finished temporary file at its name. A hard link never overwrites, so
 * where the file system has them the name is taken by link and unlink; FAT has
 * none, and there it is {@link moveToFreeName}.
 *
 * @param givenUp whether what had the name was moved away just now
 */
export async function putInPlace(
  card: CardFs,
  temporary: string,
  to: string,
  givenUp: boolean,
): Promise<void> {
  try {
    await card.link(temporary, to);
  } catch (error) {
    // Whatever else is wrong, the rename says so itself; systems disagree on how they refuse links.
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') throw taken(to);
    await moveToFreeName(card, temporary, to, givenUp);
    return;
  }
  await card.remove(temporary);
}

/**
 * Renames to a name that nothing has. One atomic call, so that a kill leaves
 * the file under one name or the other; Node has no call that also refuses to
 * overwrite, so the name is looked at just before. In the microseconds between,
 * a file that another program creates there would be lost.
 *
 * @param givenUp whether what had the name was moved away just now
 */
export async function moveToFreeName(
  card: CardFs,
  from: string,
  to: string,
  givenUp = false,
): Promise<void> {
  await assertFree(card, to, givenUp);
  await card.rename(from, to);
}

/**
 * Throws a StepFailure when something has a name. A name that is found but not
 * listed, in whatever letter case, may be the short alias of another file (on
 * FAT, `FIRMWA~1.BIN` opens `Firmware image.bin`): putting a file there would
 * overwrite that one. Only where the name was just given up it is an echo
 * (FUSE's lookup cache answers for a second).
 */
export async function assertFree(card: CardFs, path: string, givenUp = false): Promise<void> {
  if ((await card.stat(path)) === null) return;
  const folded = foldCase(baseName(path));
  if ((await card.list(folderOf(path))).some((each) => foldCase(each) === folded)) {
    throw taken(path);
  }
  if (givenUp) return;
  throw new StepFailure(
    `${path} already opens another file: on this card it is the short alias of a longer name.`,
  );
}

/**
 * Renames to a name that differs in letter case only. Where the file system
 * takes both for one name the rename would do nothing (Linux vfat), so it goes
 * through a temporary name, which says what it is to become: after a kill the
 * next run puts it right.
 */
export async function moveToOtherCase(card: CardFs, from: string, to: string): Promise<void> {
  if ((await card.stat(to)) === null) {
    await card.rename(from, to);
    return;
  }
  if (await isListed(card, to)) throw taken(to);
  const between = joinPath(folderOf(to), halfFixedName(newToken(), baseName(to)));
  await moveToFreeName(card, from, between);
  await card.syncFolder(folderOf(to));
  try {
    await moveToFreeName(card, between, to, true);
  } catch (error) {
    // Its old name is better than one that no device looks for; failing that, the next run restores it.
    await moveToFreeName(card, between, from, true).catch(() => undefined);
    throw error;
  }
}

/** Whether a folder lists exactly this name; a lookup alone ignores letter case on FAT. */
async function isListed(card: CardFs, path: string): Promise<boolean> {
  const name = baseName(path).normalize('NFC');
  return (await card.list(folderOf(path))).some((each) => each.normalize('NFC') === name);
}

function taken(path: string): StepFailure {
  return new StepFailure(`Something else has taken the name ${path} meanwhile.`);
}
