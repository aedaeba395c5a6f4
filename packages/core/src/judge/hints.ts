import { isReadable } from '../bytes/source.js';
import { hint, type Hint } from '../facts/hint.js';
import type { Listing } from '../inventory/inventory.js';
import { isKept } from '../inventory/kept-folder.js';
import type { Firmware, Loadout, Manifest } from '../manifest/model.js';
import { selectSystems } from '../manifest/select-systems.js';
import type { ExpectedFirmware, Selection } from '../manifest/selection.js';
import { foldCase } from '../text/fold.js';
import { compareUtf8 } from '../text/order.js';

/** What hints are made from. */
export interface HintInput {
  readonly manifest: Manifest;
  readonly selection: Selection;
  readonly inventory: Listing;
  /**
   * Where the root really is, '/'-joined, as many folders up as are known: `/media/card/system`; null when
   * nothing is known. Only a root whose own name is known can be told to be too deep.
   */
  readonly rootPath: string | null;
}

/**
 * What may explain that much is missing at once: an empty folder, a root that
 * is not the one the manifest means, a card that is another device's. Only
 * where files lie counts, not what is in them. Hints are in the order in which
 * they should be told.
 */
export function hintsFor(input: HintInput): Hint[] {
  const { inventory, selection } = input;
  if (isEmpty(inventory)) return [hint('empty-root', {})];
  const wanted = new ExpectedPaths(selection.firmware);
  const now = wanted.countThere(inventory);
  if (now === wanted.size) return [];
  return [...rootHint(wanted, now, input), ...loadoutHint(wanted, now, input)];
}

/** What could not be listed may hold anything. */
function isEmpty(inventory: Listing): boolean {
  return inventory.faults.length === 0 && inventory.entries.every(({ kind }) => kind === 'folder');
}

/** The one other root at which most would be there, the nearest of several. */
function rootHint(wanted: ExpectedPaths, now: number, input: HintInput): Hint[] {
  const isBetter = (there: number): boolean => there > now && 2 * there > wanted.size;
  const above = wanted.bestAbove(input.inventory, input.rootPath);
  const below = wanted.bestBelow(input.inventory);
  const counts = { now, expected: wanted.size };
  if (above !== null && above.there >= (below?.there ?? 0) && isBetter(above.there)) {
    return [hint('root-too-deep', { ...above, ...counts })];
  }
  if (below !== null && isBetter(below.there)) {
    return [hint('root-too-high', { ...below, ...counts })];
  }
  return [];
}

/** The loadout with most in place, where at most half of what was asked for is. */
function loadoutHint(wanted: ExpectedPaths, now: number, input: HintInput): Hint[] {
  if (2 * now > wanted.size) return [];
  let best: { loadout: Loadout; there: number; expected: number } | null = null;
  for (const loadout of input.manifest.loadouts.values()) {
    if (loadout.id === input.selection.loadout?.id) continue;
    const paths = new ExpectedPaths(firmwareUnder(loadout, input));
    const there = paths.countThere(input.inventory);
    if (there <= now || 2 * there <= paths.size || there <= (best?.there ?? 0)) continue;
    best = { loadout, there, expected: paths.size };
  }
  if (best === null) return [];
  const { loadout, there, expected } = best;
  return [hint('other-loadout', { loadout: loadout.id, name: loadout.name, there, now, expected })];
}

/** What a loadout expects; of systems that were asked for by name only those. */
function firmwareUnder(loadout: Loadout, input: HintInput): readonly ExpectedFirmware[] {
  const { manifest, selection } = input;
  const { firmware } = selectSystems(manifest, { loadout: loadout.id });
  if (selection.loadout !== null) return firmware;
  const asked = new Set(selection.firmware.map((one) => one.firmware.id));
  return firmware.filter((one) => asked.has(one.firmware.id));
}

/** Distinct expected paths, and how many of them a folder has. */
class ExpectedPaths {
  readonly #exact = new Set<string>();
  /** Of entries to which letter case is nothing. */
  readonly #folded = new Set<string>();
  readonly #names = new Set<string>();
  #depth = 0;

  constructor(firmware: readonly ExpectedFirmware[]) {
    for (const { firmware: one, expectedPath } of firmware) {
      const path = this.#key(expectedPath, one.case);
      (one.case === 'ignore' ? this.#folded : this.#exact).add(path);
      this.#names.add(path.slice(path.lastIndexOf('/') + 1));
      this.#depth = Math.max(this.#depth, path.split('/').length);
    }
  }

  get size(): number {
    return this.#exact.size + this.#folded.size;
  }

  countThere(inventory: Listing): number {
    return this.#countWhere((path) => path, inventory);
  }

  /** The folder above the root that has most; the root's own name tells which paths lead through it. */
  bestAbove(inventory: Listing, rootPath: string | null): { try: string; there: number } | null {
    const names = (rootPath ?? '').split('/').filter((name) => name !== '');
    let best: { try: string; there: number } | null = null;
    for (let up = 1; up <= Math.min(names.length, this.#depth - 1); up++) {
      const beginning = `${names.slice(-up).join('/')}/`;
      const exact = beginning.normalize('NFC');
      const folded = foldCase(beginning);
      const there = this.#countWhere((path, ignoresCase) => {
        const inside = ignoresCase ? folded : exact;
        return path.startsWith(inside) ? path.slice(inside.length) : null;
      }, inventory);
      if (there > (best?.there ?? 0)) best = { try: Array(up).fill('..').join('/'), there };
    }
    return best;
  }

  /** The folder in the root that has most. */
  bestBelow(inventory: Listing): { try: string; there: number } | null {
    const found = new Map<string, Set<string>>();
    for (const entry of inventory.entries) {
      if (!isReadable(entry) || !this.#isNamed(entry.path)) continue;
      // What was moved out of the way keeps its path below there, but no device looks for it.
      if (isKept(entry.path)) continue;
      for (const [folder, path] of this.#endings(entry.path)) {
        const paths = found.get(folder);
        if (paths === undefined) found.set(folder, new Set([path]));
        else paths.add(path);
      }
    }
    let best: { try: string; there: number } | null = null;
    for (const [folder, { size: there }] of found) {
      if (
        best === null ||
        there > best.there ||
        (there === best.there && isNearer(folder, best.try))
      )
        best = { try: folder, there };
    }
    return best;
  }

  /** Whether its name is that of an expected path. Asked of every file, of which nearly none is. */
  #isNamed(path: string): boolean {
    const name = path.slice(path.lastIndexOf('/') + 1);
    if (this.#exact.size > 0 && this.#names.has(name.normalize('NFC'))) return true;
    return this.#folded.size > 0 && this.#names.has(foldCase(name));
  }

  /** Each folder of a path in which the rest of it would be an expected path. */
  *#endings(path: string): Iterable<readonly [folder: string, expected: string]> {
    const composed = path.normalize('NFC');
    const folded = this.#folded.size === 0 ? null : foldCase(path);
    const names = path.split('/');
    const exactNames = composed.split('/');
    const foldedNames = folded?.split('/');
    for (let count = 1; count < names.length && count <= this.#depth; count++) {
      const folder = names.slice(0, -count).join('/');
      const exact = exactNames.slice(-count).join('/');
      if (this.#exact.has(exact)) yield [folder, `=${exact}`];
      const ignoring = foldedNames?.slice(-count).join('/');
      if (ignoring !== undefined && this.#folded.has(ignoring)) yield [folder, `~${ignoring}`];
    }
  }

  #countWhere(
    at: (path: string, ignoresCase: boolean) => string | null,
    inventory: Listing,
  ): number {
    let there = 0;
    for (const path of this.#exact) {
      const where = at(path, false);
      const entry = where === null ? undefined : inventory.get(where);
      if (entry !== undefined && isReadable(entry)) there++;
    }
    for (const path of this.#folded) {
      const where = at(path, true);
      if (where === null) continue;
      const exact = inventory.get(where);
      const others = exact === undefined ? inventory.equalButForCase(where) : [exact];
      if (others.some(isReadable)) there++;
    }
    return there;
  }

  #key(path: string, letterCase: Firmware['case']): string {
    return letterCase === 'ignore' ? foldCase(path) : path.normalize('NFC');
  }
}

/** Fewer folders down, then lower in UTF-8 order. */
function isNearer(folder: string, than: string): boolean {
  const depth = folder.split('/').length - than.split('/').length;
  return depth < 0 || (depth === 0 && compareUtf8(folder, than) < 0);
}
