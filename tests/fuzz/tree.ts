import type { ReadError } from '@firmtally/core';

/** What the fuzzer knows of one thing in a tree. */
export type TreeNode =
  | { readonly kind: 'folder' }
  | { readonly kind: 'fifo' | 'socket' | 'device' }
  /** `to`: where it leads; `fault` when it may not be read. */
  | { readonly kind: 'link'; readonly to: string | null; readonly fault: LinkFault | null }
  | {
      readonly kind: 'file';
      readonly bytes: Buffer;
      /** Reading it fails with this. */
      readonly broken?: ReadError['code'];
      /** What it holds as an archive; absent when it is none. */
      readonly zip?: ZipTruth;
    };

type LinkFault = 'outside-root' | 'broken-link' | 'not-a-file';
export type FileNode = Extract<TreeNode, { kind: 'file' }>;

/** What the fuzzer knows of an archive it made. */
interface ZipTruth {
  /** Members that can be read, first of a name first. */
  readonly members: readonly { readonly path: string; readonly bytes: Uint8Array }[];
  /** Names of members whose content or header is damaged. */
  readonly damaged: readonly string[];
  /** The whole archive may be refused. */
  readonly suspect: boolean;
}

/** Things by '/'-joined path, like a file system: a path's folders exist and nothing lies below a file. */
export class Tree {
  readonly nodes = new Map<string, TreeNode>();

  /** Puts a thing where there is room for it; says whether it did. */
  put(path: string, node: TreeNode): boolean {
    if (this.nodes.has(path)) return false;
    const parts = path.split('/');
    const folders = parts.slice(1).map((_, index) => parts.slice(0, index + 1).join('/'));
    if (folders.some((folder) => (this.nodes.get(folder)?.kind ?? 'folder') !== 'folder')) {
      return false;
    }
    for (const folder of folders) this.nodes.set(folder, { kind: 'folder' });
    this.nodes.set(path, node);
    return true;
  }

  /** The file at a path, through a link if there is one. */
  file(path: string): FileNode | null {
    const node = this.nodes.get(path);
    if (node?.kind === 'file') return node;
    return node?.kind === 'link' && node.to !== null ? this.file(node.to) : null;
  }
}
