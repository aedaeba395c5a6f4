import { isReadable, type Entry, type Fault } from '../bytes/source.js';
import type { Inventory } from '../inventory/inventory.js';
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
  /** One plain sentence. */
  readonly detail: string;
}

/** Finds what stands in the way of paths that are not in an inventory. */
export class Obstacles {
  readonly #inventory: Inventory;
  readonly #faults = new Map<string, Fault>();
  readonly #foldedFaults = new Map<string, Fault>();

  constructor(inventory: Inventory) {
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
    return { path: fault.path, kind: 'unlisted', fault, detail: unlistedDetail(fault) };
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

/** `fw could not be listed: no permission to read it.` */
export function unlistedDetail({ path, message }: Fault): string {
  return `${path} could not be listed: ${message}.`;
}

function noFolder(entry: Entry): Obstacle {
  const { path, kind } = entry;
  if (kind !== 'link') {
    const what =
      kind === 'file' ? 'a file where a folder belongs' : 'not a folder, as it should be';
    return { path, kind: 'not-a-folder', fault: null, detail: `${path} is ${what}.` };
  }
  const detail = isReadable(entry)
    ? `${path} is a link to a file where a folder belongs.`
    : LINK_DETAIL[entry.link?.fault ?? 'broken-link'](path);
  return { path, kind: 'link', fault: null, detail };
}

const LINK_DETAIL = {
  'not-a-file': (path: string) =>
    `${path} is a link to a folder; links to folders are not followed.`,
  'outside-root': (path: string) =>
    `${path} is a link out of the audited folder; such links are not followed.`,
  'broken-link': (path: string) => `${path} is a link that leads nowhere.`,
  'permission-denied': (path: string) => `${path} is a link; there is no permission to follow it.`,
  'io-error': (path: string) => `${path} is a link that the system failed to follow.`,
} as const;
