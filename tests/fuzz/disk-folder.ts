import { execFileSync } from 'node:child_process';
import { mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import type { Random } from './random.js';
import { Tree, type TreeNode } from './tree.js';

/**
 * Writes a tree under `root` and gives back what of it this file system took.
 * Only where names are bytes and letter case counts (Linux).
 */
export function writeTree(tree: Tree, root: string, outside: string): Tree {
  const written = new Tree();
  for (const [path, node] of tree.nodes) {
    if (!path.split('/').every((name) => Buffer.byteLength(name) <= 255)) continue;
    const target = join(root, path);
    mkdirSync(dirname(target), { recursive: true });
    const kept = writeNode(node, target, { root, outside });
    if (kept !== null) written.put(path, kept);
  }
  return written;
}

interface Places {
  readonly root: string;
  readonly outside: string;
}

/** What was written; null where nothing was. */
function writeNode(node: TreeNode, target: string, { root, outside }: Places): TreeNode | null {
  switch (node.kind) {
    case 'folder':
      mkdirSync(target, { recursive: true });
      return node;
    case 'file':
      // Root reads everything, so a file cannot be made unreadable here.
      writeFileSync(target, node.bytes);
      return {
        kind: 'file',
        bytes: node.bytes,
        ...(node.zip === undefined ? {} : { zip: node.zip }),
      };
    case 'fifo':
      execFileSync('mkfifo', [target]);
      return node;
    case 'link': {
      const to = {
        'outside-root': outside,
        'broken-link': join(root, 'no such file'),
        'not-a-file': root,
      };
      symlinkSync(node.fault === null ? join(root, node.to ?? '') : to[node.fault], target);
      return node;
    }
    case 'socket':
    case 'device':
      // Making these needs a server or rights; the walker's own tests do.
      return null;
  }
}

/**
 * Names that are no UTF-8 and other noise beside the tree, with bytes unlike any
 * content of it; none of it may matter or crash.
 */
export function writeNoise(random: Random, root: string): void {
  const base = Buffer.from(`${root}/`);
  for (const name of [[0xff], [0xc3, 0x28], [0xed, 0xa0, 0x80], [0x61, 0x80, 0x62]]) {
    if (random.chance(0.5))
      writeFileSync(Buffer.concat([base, Buffer.from(name)]), random.bytes(300));
  }
  if (random.chance(0.3)) symlinkSync('loop-b', join(root, 'loop-a'));
  if (random.chance(0.3)) symlinkSync('loop-a', join(root, 'loop-b'));
  if (random.chance(0.3)) symlinkSync('.', join(root, 'self'));
  if (random.chance(0.3)) symlinkSync('/dev/zero', join(root, 'zero'));
  if (random.chance(0.2))
    mkdirSync(join(root, ...Array.from({ length: 60 }, () => 'deep')), { recursive: true });
}
