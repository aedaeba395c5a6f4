import { makeArchive } from './make-archive.js';
import { expectedPath, type FirmwareModel, type ManifestModel } from './expectation.js';
import { changeCase, makeName, makePath } from './names.js';
import type { Random } from './random.js';
import { digestsOf } from './contents.js';
import { Tree, type FileNode, type TreeNode } from './tree.js';

/** A tree in which each entry of a manifest is right, wrong, elsewhere, miscased, odd or absent. */
export function makeTree(random: Random, model: ManifestModel, contents: readonly Buffer[]): Tree {
  const tree = new Tree();
  for (const one of model.firmware) {
    const path = expectedPath(one.folder ?? model.folder, one.path);
    const times = random.pick([0, 1, 1, 1, 2, 3]);
    for (let time = 0; time < times; time++) placeOne(random, tree, one, path, contents);
  }
  const noise = random.between(0, 8);
  for (let index = 0; index < noise; index++) {
    tree.put(randomPath(random), randomNode(random, tree, contents));
  }
  for (const name of random.some(['a.osp', 'b.OSP', 'c.kes', 'deep/d.tar.gz', 'e.txt'], 0.4)) {
    tree.put(
      `${random.pick(['games', 'games/osprey', 'Games'])}/${name}`,
      file(random.pick(contents)),
    );
  }
  return tree;
}

function placeOne(
  random: Random,
  tree: Tree,
  one: FirmwareModel,
  path: string,
  contents: readonly Buffer[],
): void {
  const name = path.slice(path.lastIndexOf('/') + 1);
  const right = (): FileNode => rightFile(random, one, contents);
  const wrong = (): FileNode => file(random.pick(contents));
  random.oneOf(
    () => tree.put(path, right()),
    () => tree.put(path, right()),
    () => tree.put(path, wrong()),
    () => tree.put(changeCase(random, path), right()),
    () => tree.put(changeCase(random, path), wrong()),
    () => tree.put(path.normalize(random.pick(['NFC', 'NFD'])), right()),
    () => tree.put(`${randomFolder(random)}${name}`, right()),
    () => tree.put(`${randomFolder(random)}${changeCase(random, name)}`, right()),
    () => tree.put(randomPath(random), right()),
    () => tree.put(`${path}.bak`, right()),
    // Which of the two is lowest differs between UTF-8 and UTF-16.
    () =>
      [`\uffee/${name}`, `\u{10400}/${name}`].map((twin) => tree.put(twin, right())).every(Boolean),
    () => tree.put(path, randomNode(random, tree, contents)),
    () => putLink(random, tree, path, right()),
  );
}

function rightFile(random: Random, one: FirmwareModel, contents: readonly Buffer[]): FileNode {
  if (one.members !== null) return makeArchive(random, one.members, contents);
  const dump = one.dumps.length === 0 ? undefined : random.pick(one.dumps);
  const bytes = contents.find((content) =>
    Object.entries(dump?.digests ?? {}).every(
      ([name, hex]) => digestsOf(content)[name as 'md5'] === hex,
    ),
  );
  return file(bytes ?? random.pick(contents));
}

function putLink(random: Random, tree: Tree, path: string, target: FileNode): boolean {
  const to = `real/${random.below(1000)}`;
  if (!tree.put(to, target)) return false;
  return tree.put(path, { kind: 'link', to, fault: null });
}

function randomNode(random: Random, tree: Tree, contents: readonly Buffer[]): TreeNode {
  return random.oneOf<TreeNode>(
    () => file(random.pick(contents)),
    () => file(random.bytes(random.below(200))),
    () => ({ kind: 'folder' }),
    () => ({ kind: 'fifo' }),
    () => ({ kind: random.pick(['socket', 'device'] as const) }),
    () => ({
      kind: 'link',
      to: null,
      fault: random.pick(['outside-root', 'broken-link', 'not-a-file'] as const),
    }),
    () => ({
      kind: 'file',
      bytes: random.pick(contents),
      broken: random.pick(['permission-denied', 'io-error', 'vanished'] as const),
    }),
  );
}

function randomFolder(random: Random): string {
  return random.chance(0.2) ? '' : `${makePath(random)}/`;
}

function randomPath(random: Random): string {
  return random.chance(0.5) ? makePath(random) : `${randomFolder(random)}${makeName(random)}`;
}

function file(bytes: Buffer): FileNode {
  return { kind: 'file', bytes };
}
