import { KEPT_FOLDER } from '../inventory/kept-folder.js';
import type { Inventory } from '../inventory/inventory.js';
import { foldCase } from '../text/fold.js';
import { baseName, folderOf, joinPath } from '../text/path.js';
import { keptPath } from './kept-path.js';
import { VirtualCard } from './virtual-card.js';

/** What a run that was killed left on the card, and what the next one does with it first. */
export interface Leftover {
  /**
   * `remove`: a temporary copy, never finished or never put in place. `restore`: a name in the middle of a case
   * fix. `keep`: the same, but something else has the name it should get, so it goes to {@link KEPT_FOLDER}.
   */
  readonly code: 'remove' | 'restore' | 'keep';
  /** One plain sentence, made from the rest. */
  readonly text: string;
  /** '/'-joined, on the card. */
  readonly path: string;
  /** Where it is put; null for `remove`. */
  readonly to: string | null;
}

/** The sentence for each. Nothing is escaped here. */
const WORDS: Readonly<Record<Leftover['code'], (path: string, to: string) => string>> = {
  remove: (path) => `${path} is removed: a copy that was never put in place.`,
  restore: (path, to) => `${path} becomes ${to} again.`,
  keep: (path, to) => `${path} is kept as ${to}: something else has taken its name.`,
};

function leftover(code: Leftover['code'], path: string, to: string | null): Leftover {
  return { code, text: WORDS[code](path, to ?? ''), path, to };
}

/** Sixteen hex digits, 64 random bits, make a name that no person's file has. */
const TEMPORARY = /^\.firmtally-[0-9a-f]{16}\.part$/;
const HALF_FIXED = /^\.firmtally-[0-9a-f]{16}\.case-(.+)$/su;

/** Name of a file while it is written. @param token 16 lower-case hex digits */
export function temporaryName(token: string): string {
  return `.firmtally-${token}.part`;
}

/** Name of a file or folder between its old and its new letter case; says itself what it becomes. */
export function halfFixedName(token: string, name: string): string {
  return `.firmtally-${token}.case-${name}`;
}

/** Names exactly as this tool makes them, in folders it writes to: the folders of expected paths. Everything else is a person's. */
export function findLeftovers(
  inventory: Inventory,
  expectedPaths: Iterable<string>,
): readonly Leftover[] {
  const folders = new Set<string>(['']);
  for (const path of expectedPaths) {
    for (let folder = folderOf(path); folder !== ''; folder = folderOf(folder)) {
      folders.add(foldCase(folder));
    }
  }
  let card: VirtualCard | null = null;
  return inventory.entries.flatMap(({ path, kind }): Leftover[] => {
    const folder = folderOf(path);
    const name = baseName(path);
    if (!name.startsWith('.firmtally-') || !folders.has(foldCase(folder))) return [];
    if (kind === 'file' && TEMPORARY.test(name)) return [leftover('remove', path, null)];
    const becomes = HALF_FIXED.exec(name)?.[1];
    if (becomes === undefined || (kind !== 'file' && kind !== 'folder')) return [];
    const to = joinPath(folder, becomes);
    card ??= new VirtualCard(inventory);
    if (card.get(to) === undefined && card.equalButForCase(to).length === 0) {
      card.move(path, to);
      return [leftover('restore', path, to)];
    }
    const kept = keptPath(card, to);
    // Where nothing can be kept it is still tried, so that the reason is told.
    if (typeof kept !== 'string') return [leftover('keep', path, `${KEPT_FOLDER}/${to}`)];
    card.move(path, kept);
    return [leftover('keep', path, kept)];
  });
}
