import { ReadError, type Entry, type FolderSource } from '@firmtally/core';
import type { Random } from './random.js';
import type { Tree, TreeNode } from './tree.js';

/** A tree as the core's folder source; chunks and their order are odd on purpose. */
export function memoryFolder(tree: Tree, random: Random): FolderSource {
  return {
    async *list() {
      const paths = [...tree.nodes.keys()];
      while (paths.length > 0) {
        await Promise.resolve();
        const [path = ''] = paths.splice(random.below(paths.length), 1);
        yield entryOf(tree, path);
      }
    },
    async *open(path, range) {
      await Promise.resolve();
      const node = tree.nodes.get(path);
      // Anything else here would be a link followed or a pipe opened.
      if (node?.kind !== 'file') throw new Error(`opened what is no file: ${JSON.stringify(path)}`);
      if (node.broken !== undefined)
        throw new ReadError(node.broken, 'Cannot be read, says the fuzzer.');
      const bytes = node.bytes.subarray(range?.start ?? 0, range?.end ?? node.bytes.length);
      const step = random.pick([1, 3, 16, 64, 1 << 20]);
      const held = Buffer.alloc(Math.min(step, bytes.length));
      for (let at = 0; at < bytes.length; at += step) {
        // A chunk is valid until the next is asked for: the same buffer each time shows who keeps it.
        const chunk = held.subarray(0, bytes.copy(held, 0, at, at + step));
        yield bytes.length > 10_000 ? bytes.subarray(at, at + Math.max(step, 4096)) : chunk;
        if (bytes.length > 10_000) at += Math.max(step, 4096) - step;
      }
      held.fill(0xee);
    },
  };
}

function entryOf(tree: Tree, path: string): Entry {
  const node = tree.nodes.get(path) as TreeNode;
  if (node.kind === 'file') return { path, kind: 'file', size: node.bytes.length };
  if (node.kind === 'link') {
    const size = tree.file(path)?.bytes.length ?? 0;
    return { path, kind: 'link', size, link: { resolvesTo: node.to, fault: node.fault } };
  }
  return { path, kind: node.kind, size: 0 };
}
