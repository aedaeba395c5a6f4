import type { EntryKind } from '../bytes/source.js';
import { foldCase } from '../text/fold.js';
import { baseName, joinPath } from '../text/path.js';
import { hindrance, type Hindrance } from '../facts/plan-problem.js';
import type { VirtualCard } from './virtual-card.js';

/** A folder that must get another letter case first. Paths hold after the fixes before it. */
interface FolderFix {
  readonly from: string;
  readonly to: string;
}

/** Where a file goes. */
export interface Target {
  /** Path once the folder fixes are done. */
  readonly path: string;
  /** The same place as the card's folders are spelled now. */
  readonly now: string;
  readonly fixes: readonly FolderFix[];
}

/**
 * Finds the folders of an expected path on the card. FAT knows one folder
 * whatever its letter case, so a folder that differs in case only is never
 * doubled: it is used as it is spelled (`case: ignore`, or composed otherwise),
 * or gets the expected spelling, unless another entry expects something in it
 * as it is.
 */
export function resolveTarget(
  card: VirtualCard,
  expectedPath: string,
  ignoreCase: boolean,
  isProtected: (folder: string) => boolean,
): Target | Hindrance {
  const names = expectedPath.split('/');
  const last = names.pop() ?? '';
  const fixes: FolderFix[] = [];
  let path = '';
  let now = '';
  for (const name of names) {
    const wanted = joinPath(path, name);
    const wantedNow = joinPath(now, name);
    const exact = card.get(wantedNow);
    if (exact !== undefined && exact.kind !== 'folder') return notAFolder(wantedNow, exact.kind);
    if (exact !== undefined) {
      path = wanted;
      now = wantedNow;
      continue;
    }
    const [found] = card.equalButForCase(wantedNow);
    if (found === undefined) {
      path = wanted;
      now = wantedNow;
      continue;
    }
    const kind = card.get(found)?.kind ?? 'unknown';
    if (kind !== 'folder') return notAFolder(found, kind);
    const foundName = baseName(found);
    const sameLetters = foundName.normalize('NFC') === name.normalize('NFC');
    if (ignoreCase || sameLetters) {
      path = joinPath(path, foundName);
    } else if (isProtected(found)) {
      return hindrance('name-clash', wanted, { other: found, as: 'folder' });
    } else {
      fixes.push({ from: joinPath(path, foundName), to: wanted });
      path = wanted;
    }
    now = found;
  }
  return { path: joinPath(path, last), now: joinPath(now, last), fixes };
}

function notAFolder(path: string, kind: EntryKind): Hindrance {
  return hindrance('not-a-folder', path, { kind });
}

/** A path after a folder that is on the way to it got another spelling. */
export function afterMove(path: string, from: string, to: string): string {
  return path === from || path.startsWith(`${from}/`) ? to + path.slice(from.length) : path;
}

/** Whether two paths are one on a FAT32 card, which ignores letter case (fatgen103, "Name Limits and Character Sets"); composition is ignored with it. */
export function samePlace(a: string, b: string): boolean {
  return foldCase(a) === foldCase(b);
}
