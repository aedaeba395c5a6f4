import type { Entry, EntryKind, Fault } from '../bytes/source.js';
import { Inventory } from '../inventory/inventory.js';
import { foldCase } from '../text/fold.js';
import { compareUtf8 } from '../text/order.js';
import { baseName, folderOf, joinPath } from '../text/path.js';

/** Something on the card. It keeps its identity when it, or a folder above it, gets another name. */
export interface CardNode {
  readonly kind: EntryKind;
  /** Bytes. */
  readonly size: number;
}

/** The card as it will be after the steps planned so far. Nothing here touches a real card. */
export class VirtualCard {
  readonly #root = new TreeNode({ kind: 'folder', size: 0 });
  readonly #faults: readonly Fault[];
  /** Folders the plan creates. */
  readonly #newFolders: TreeNode[] = [];

  constructor(inventory: Inventory) {
    this.#faults = inventory.faults;
    for (const entry of inventory.entries) {
      const there = this.#find(entry.path);
      if (there === undefined) this.#add(entry.path, new TreeNode(entry), null);
      // What was made as the folder above something is listed itself.
      else there.entry = entry;
    }
  }

  /** What is at exactly this path; '' is the card itself. */
  get(path: string): CardNode | undefined {
    return this.#find(path);
  }

  /** Where something of this card is now. */
  pathOf(node: CardNode): string {
    if (!(node instanceof TreeNode)) throw new Error('this is not of this card');
    return node.path();
  }

  /** Names in the same folder that are equal but for letter case or composition, lowest first; not the path itself. */
  equalButForCase(path: string): string[] {
    const name = baseName(path);
    const same = this.#find(folderOf(path))?.foldedAs(name) ?? [];
    return [...same]
      .filter((each) => each.name !== name)
      .map((each) => each.path())
      .sort(compareUtf8);
  }

  /** Folders the plan creates, each with the names of what will be in it. */
  newFolders(): { readonly path: string; readonly names: readonly string[] }[] {
    return this.#newFolders.map((each) => ({ path: each.path(), names: each.names() }));
  }

  /** The card as an inventory again. */
  inventory(): Inventory {
    return new Inventory([...this.#root.below('')], this.#faults);
  }

  /** Puts a file at a path, and creates the folders it needs. */
  addFile(path: string, size: number): void {
    this.#add(path, new TreeNode({ kind: 'file', size }), this.#newFolders);
  }

  /** Moves a file, or a folder with all that is in it. */
  move(from: string, to: string): void {
    const node = this.#find(from);
    if (node === undefined) throw new Error(`nothing to move at ${from}`);
    node.detach();
    this.#add(to, node, this.#newFolders);
  }

  #find(path: string): TreeNode | undefined {
    let node: TreeNode | undefined = this.#root;
    for (const name of path === '' ? [] : path.split('/')) node = node?.child(name);
    return node;
  }

  #add(path: string, node: TreeNode, created: TreeNode[] | null): void {
    const names = path.split('/');
    const last = names.pop() ?? '';
    let folder = this.#root;
    for (const name of names) {
      let next = folder.child(name);
      if (next === undefined) {
        next = new TreeNode({ kind: 'folder', size: 0 });
        next.attach(folder, name);
        created?.push(next);
      }
      folder = next;
    }
    node.attach(folder, last);
  }
}

/** A name in a folder. What moves takes along all that is in it, however much that is. */
class TreeNode implements CardNode {
  entry: Omit<Entry, 'path'>;
  name = '';
  #parent: TreeNode | null = null;
  #children: Map<string, TreeNode> | null = null;
  /** Folded name -> the children that fold to it. */
  #folded: Map<string, Set<TreeNode>> | null = null;

  constructor(entry: Omit<Entry, 'path'>) {
    this.entry = entry;
  }

  get kind(): EntryKind {
    return this.entry.kind;
  }

  get size(): number {
    return this.entry.size;
  }

  /** Everything below, with the path it has now. */
  *below(path: string): Iterable<Entry> {
    for (const [name, child] of this.#children ?? []) {
      const at = joinPath(path, name);
      yield { ...child.entry, path: at };
      yield* child.below(at);
    }
  }

  child(name: string): TreeNode | undefined {
    return this.#children?.get(name);
  }

  foldedAs(name: string): Iterable<TreeNode> {
    return this.#folded?.get(foldCase(name)) ?? [];
  }

  names(): string[] {
    return [...(this.#children?.keys() ?? [])];
  }

  path(): string {
    return this.#parent === null ? '' : joinPath(this.#parent.path(), this.name);
  }

  attach(parent: TreeNode, name: string): void {
    this.#parent = parent;
    this.name = name;
    (parent.#children ??= new Map()).set(name, this);
    const folded = foldCase(name);
    const same = (parent.#folded ??= new Map<string, Set<TreeNode>>()).get(folded);
    if (same === undefined) parent.#folded.set(folded, new Set([this]));
    else same.add(this);
  }

  detach(): void {
    const parent = this.#parent;
    if (parent === null) return;
    parent.#children?.delete(this.name);
    parent.#folded?.get(foldCase(this.name))?.delete(this);
    this.#parent = null;
  }
}
