import type { EntryKind } from '../bytes/source.js';
import type { Inventory } from '../inventory/inventory.js';
import { foldCase } from '../text/fold.js';
import { compareUtf8 } from '../text/order.js';
import { baseName, folderOf } from '../text/path.js';

interface Node {
  readonly kind: EntryKind;
  readonly size: number;
}

/** The card as it will be after the steps planned so far. Nothing here touches a real card. */
export class VirtualCard {
  readonly #nodes = new Map<string, Node>();
  /** Folded path -> the paths that fold to it. */
  readonly #folded = new Map<string, Set<string>>();
  /** Folders the plan creates. */
  readonly #newFolders = new Set<string>();

  constructor(inventory: Inventory) {
    for (const { path, kind, size } of inventory.entries) this.#set(path, { kind, size });
    // A folder that could not be listed has an entry, but so that a source may leave folders out:
    for (const { path } of inventory.entries) {
      for (let folder = folderOf(path); folder !== ''; folder = folderOf(folder)) {
        if (this.#nodes.has(folder)) break;
        this.#set(folder, { kind: 'folder', size: 0 });
      }
    }
  }

  /** What is at exactly this path. */
  get(path: string): Node | undefined {
    return path === '' ? { kind: 'folder', size: 0 } : this.#nodes.get(path);
  }

  /** Names in the same folder that are equal but for letter case or composition, lowest first; not the path itself. */
  equalButForCase(path: string): string[] {
    const folder = folderOf(path);
    return [...(this.#folded.get(foldCase(path)) ?? [])]
      .filter((other) => other !== path && folderOf(other) === folder)
      .sort(compareUtf8);
  }

  /** Folders the plan creates, each with the names of what will be in it. */
  newFolders(): { readonly path: string; readonly names: readonly string[] }[] {
    const names = new Map([...this.#newFolders].map((path) => [path, [] as string[]]));
    for (const path of this.#nodes.keys()) {
      names.get(folderOf(path))?.push(baseName(path));
    }
    return [...names].map(([path, inside]) => ({ path, names: inside }));
  }

  /** Puts a file at a path, and creates the folders it needs. */
  addFile(path: string, size: number): void {
    this.#makeFolders(path);
    this.#set(path, { kind: 'file', size });
  }

  /** Moves a file, or a folder with all that is in it. */
  move(from: string, to: string): void {
    const node = this.#nodes.get(from);
    if (node === undefined) throw new Error(`nothing to move at ${from}`);
    this.#makeFolders(to);
    const inside = node.kind === 'folder' ? `${from}/` : null;
    const moved = [...this.#nodes].filter(
      ([path]) => path === from || (inside !== null && path.startsWith(inside)),
    );
    for (const [path] of moved) this.#delete(path);
    for (const [path, each] of moved) this.#set(to + path.slice(from.length), each);
  }

  #makeFolders(path: string): void {
    for (let folder = folderOf(path); folder !== ''; folder = folderOf(folder)) {
      if (this.#nodes.has(folder)) return;
      this.#set(folder, { kind: 'folder', size: 0 });
      this.#newFolders.add(folder);
    }
  }

  #set(path: string, node: Node): void {
    this.#nodes.set(path, node);
    const folded = foldCase(path);
    const same = this.#folded.get(folded);
    if (same === undefined) this.#folded.set(folded, new Set([path]));
    else same.add(path);
  }

  #delete(path: string): void {
    this.#nodes.delete(path);
    this.#folded.get(foldCase(path))?.delete(path);
  }
}
