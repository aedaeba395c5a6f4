import { randomBytes } from 'node:crypto';
import { foldCase, halfFixedName, baseName, folderOf, joinPath } from '@firmtally/core';
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
 */
export async function putInPlace(card: CardFs, temporary: string, to: string): Promise<void> {
  try {
    await card.link(temporary, to);
  } catch (error) {
    // Whatever else is wrong, the rename says so itself; systems disagree on how they refuse links.
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') throw taken(to);
    await moveToFreeName(card, temporary, to);
    return;
  }
  await card.remove(temporary);
}

/**
 * Renames to a name that nothing has. One atomic call, so that a kill leaves
 * the file under one name or the other; Node has no call that also refuses to
 * overwrite, so the name is looked at just before. In the microseconds between,
 * a file that another program creates there would be lost.
 */
export async function moveToFreeName(card: CardFs, from: string, to: string): Promise<void> {
  if (!(await isFree(card, to))) throw taken(to);
  await card.rename(from, to);
}

/**
 * Whether nothing has a name. A name that was just given up may still be found
 * for a second (FUSE's lookup cache), so what is found must also be listed, in
 * whatever letter case.
 */
async function isFree(card: CardFs, path: string): Promise<boolean> {
  if ((await card.stat(path)) === null) return true;
  const folded = foldCase(baseName(path));
  return !(await card.list(folderOf(path))).some((each) => foldCase(each) === folded);
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
    await moveToFreeName(card, between, to);
  } catch (error) {
    // Its old name is better than one that no device looks for; failing that, the next run restores it.
    await moveToFreeName(card, between, from).catch(() => undefined);
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
