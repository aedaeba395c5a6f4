/** A card, a pile and a manifest in memory, all of it invented, and a card that does what a plan says. */
import {
  planPlacement,
  ReadError,
  selectSystems,
  type ArchiveReader,
  type Dump,
  type Entry,
  type Firmware,
  type FirmwareVerdict,
  type Manifest,
  type Plan,
  type Requirement,
  type Selection,
  type System,
  type SystemRow,
} from '@firmtally/core';
import {
  digestsOf,
  MemoryFolder,
  nodeHashes,
  type MemoryItem,
} from '../../support/memory-folder.js';

/** Path -> content. */
export type Files = Map<string, string>;

export interface World {
  readonly manifest: Manifest;
  readonly card: Files;
  /** Folders of the card that may be empty. */
  readonly folders?: ReadonlySet<string>;
  readonly pile: Files;
  readonly systems?: readonly string[];
}

export interface Looked {
  readonly plan: Plan;
  readonly verdicts: readonly FirmwareVerdict[];
  readonly selection: Selection;
  readonly systems: readonly SystemRow[];
}

const LOCATION = { file: 'invented.yaml', line: 1, column: 1, endLine: 1, endColumn: 1 };

export function dumpOf(content: string, label: string, sized = true): Dump {
  const { crc32, md5, sha1 } = digestsOf(Buffer.from(content), ['crc32', 'md5', 'sha1']);
  return {
    label,
    size: sized ? Buffer.byteLength(content) : null,
    digests: { crc32: crc32 ?? '', md5: md5 ?? '', sha1: sha1 ?? '' },
    location: LOCATION,
  };
}

export function firmware(
  id: string,
  path: string,
  dumps: readonly Dump[],
  more: Partial<Firmware> = {},
): Firmware {
  return {
    id,
    path,
    folder: null,
    defaultFolder: '',
    case: 'exact',
    note: null,
    dumps,
    members: null,
    location: LOCATION,
    ...more,
  };
}

export function system(
  id: string,
  requires: readonly Requirement[],
  optional: readonly string[] = [],
): System {
  return { id, name: id, requires, optional, folders: [], case: 'exact', location: LOCATION };
}

export function manifestOf(entries: readonly Firmware[], systems: readonly System[]): Manifest {
  return {
    sources: [],
    firmware: new Map(entries.map((each) => [each.id, each])),
    systems: new Map(systems.map((each) => [each.id, each])),
    loadouts: new Map(),
  };
}

/** Judges, gathers and plans with the real code. Space is given unless `free` says otherwise. */
export async function look(
  world: World,
  options: { free?: number; cluster?: number } = {},
): Promise<Looked> {
  const { manifest, card, pile, systems } = world;
  const selection = selectSystems(manifest, { systems });
  const folder = folderOf(card, world.folders);
  const source = folderOf(pile);
  const outlook = await planPlacement(folder, [{ name: 'pile', kind: 'folder', folder: source }], {
    manifests: manifest,
    systems,
    platform: { engine: nodeHashes, archives: NO_ARCHIVES },
    clusterSize: options.cluster ?? 4096,
    free: options.free,
  });
  return { ...outlook, selection };
}

/** Does a plan on a card whose file system minds letter case. Throws where a step is not as the plan promises. */
export function perform(plan: Plan, world: World): World & { readonly folders: Set<string> } {
  const card = new Map(world.card);
  const entries = entriesOf(card, world.folders);
  let folders = new Set(entries.filter(({ kind }) => kind === 'folder').map(({ path }) => path));
  const put = (path: string, content: string): void => {
    if (card.has(path)) throw new Error(`${path} would be overwritten`);
    if (folders.has(path)) throw new Error(`${path} is a folder`);
    for (const folder of parents(path)) {
      if (card.has(folder)) throw new Error(`${folder} is a file`);
      folders.add(folder);
    }
    card.set(path, content);
  };
  const moveFile = (from: string, to: string): void => {
    const content = card.get(from);
    if (content === undefined) throw new Error(`nothing at ${from}`);
    card.delete(from);
    put(to, content);
  };
  const moveFolder = (from: string, to: string): void => {
    if (!folders.has(from)) throw new Error(`no folder ${from}`);
    if (folders.has(to) || card.has(to)) throw new Error(`${to} is taken`);
    const renamed = (path: string): string =>
      path === from || path.startsWith(`${from}/`) ? to + path.slice(from.length) : path;
    folders = new Set([...folders].map(renamed));
    for (const path of [...card.keys()]) if (renamed(path) !== path) moveFile(path, renamed(path));
  };
  for (const step of plan.steps) {
    if (step.kind === 'pack') throw new Error('there are no ZIPs here');
    if (step.kind === 'case-fix' && step.entry === 'folder') {
      moveFolder(step.from.path, step.to);
      continue;
    }
    const source = step.from.source === null ? card : world.pile;
    const content = source.get(step.from.path);
    if (content === undefined) throw new Error(`nothing at ${step.from.path}`);
    if (Buffer.byteLength(content) !== step.size)
      throw new Error(`${step.from.path} has another size`);
    for (const kept of plan.kept) if (kept.firmware === step.firmware) moveFile(kept.path, kept.to);
    if (step.kind === 'case-fix') moveFile(step.from.path, step.to);
    else put(step.to, content);
  }
  return { ...world, card, folders };
}

function parents(path: string): string[] {
  const names = path.split('/').slice(0, -1);
  return names.map((_, index) => names.slice(0, index + 1).join('/'));
}

function entriesOf(files: Files, folders: Iterable<string> = []): Entry[] {
  const entries = new Map<string, Entry>();
  for (const path of folders) entries.set(path, { path, kind: 'folder', size: 0 });
  for (const [path, content] of files) {
    entries.set(path, { path, kind: 'file', size: Buffer.byteLength(content) });
    for (const folder of parents(path))
      entries.set(folder, { path: folder, kind: 'folder', size: 0 });
  }
  return [...entries.values()];
}

function folderOf(files: Files, folders?: ReadonlySet<string>): MemoryFolder {
  const items = entriesOf(files, folders).map(({ path }): [string, MemoryItem] => [
    path,
    files.get(path) ?? { kind: 'folder' },
  ]);
  return new MemoryFolder(new Map(items));
}

const NO_ARCHIVES: ArchiveReader = {
  open: () => Promise.reject(new ReadError('bad-archive', 'not a ZIP')),
};
