import { isReadable, type Listed, type Fault } from '../bytes/source.js';
import { fact } from '../facts/fact.js';
import type { Fact, Standing } from '../facts/fact-values.js';
import type { Listing } from '../inventory/inventory.js';
import { foldCase } from '../text/fold.js';
import { foldersAbove } from '../text/path.js';

/** What keeps a path from being looked at, or from existing at all. */
export interface Obstacle {
  /** Of the path itself or of a folder above it; '.' is the root. */
  readonly path: string;
  /**
   * `unlisted`: what is there could not be listed, so nobody knows what lies below. `link`: a link, which is
   * not followed to a folder. `not-a-folder`: anything else but a folder where one belongs.
   */
  readonly kind: 'unlisted' | 'link' | 'not-a-folder';
  /** Why it could not be listed; null for the other kinds. */
  readonly fault: Fault | null;
  readonly fact: Fact<'unlisted' | 'no-folder'>;
}

/** Finds what stands in the way of paths that are not in an inventory. */
export class Obstacles {
  readonly #inventory: Listing;
  readonly #faults = new Map<string, Fault>();
  readonly #foldedFaults = new Map<string, Fault>();

  constructor(inventory: Listing) {
    this.#inventory = inventory;
    for (const fault of inventory.faults) {
      this.#faults.set(fault.path.normalize('NFC'), fault);
      this.#foldedFaults.set(foldCase(fault.path), fault);
    }
  }

  /** The outermost obstacle to a path, the path's own fault included; null when there is none. */
  to(path: string, ignoresCase = false): Obstacle | null {
    for (const above of ['.', ...foldersAbove(path)]) {
      const obstacle = this.#unlisted(above, ignoresCase) ?? this.#noFolder(above, ignoresCase);
      if (obstacle !== null) return obstacle;
    }
    return this.#unlisted(path, ignoresCase);
  }

  #unlisted(path: string, ignoresCase: boolean): Obstacle | null {
    const fault = ignoresCase
      ? this.#foldedFaults.get(foldCase(path))
      : this.#faults.get(path.normalize('NFC'));
    if (fault === undefined) return null;
    return { path: fault.path, kind: 'unlisted', fault, fact: unlisted(fault) };
  }

  #noFolder(path: string, ignoresCase: boolean): Obstacle | null {
    const exact = this.#inventory.get(path);
    const there =
      exact === undefined && ignoresCase ? this.#inventory.equalButForCase(path) : [exact];
    // Of several that differ in letter case a folder will do.
    if (there.some((entry) => entry === undefined || entry.kind === 'folder')) return null;
    const [entry] = there;
    return entry === undefined ? null : noFolder(entry);
  }
}

export function unlisted({ path, message }: Fault): Fact<'unlisted'> {
  return fact('unlisted', { path, reason: message });
}

function noFolder(entry: Listed): Obstacle {
  const { path, kind } = entry;
  const said = (standing: Standing): Obstacle => ({
    path,
    kind: kind === 'link' ? 'link' : 'not-a-folder',
    fault: null,
    fact: fact('no-folder', { path, standing }),
  });
  if (kind !== 'link') return said(kind === 'file' ? 'file' : 'other');
  return said(
    isReadable(entry) ? 'link-to-file' : LINK_STANDING[entry.link?.fault ?? 'broken-link'],
  );
}

const LINK_STANDING = {
  'not-a-file': 'link-to-folder',
  'outside-root': 'link-outside',
  'broken-link': 'link-broken',
  'permission-denied': 'link-forbidden',
  'io-error': 'link-failing',
} as const;
