import { ALGORITHMS, digestsOf } from './contents.js';
import { Mapping, type Node } from './document.js';
import type {
  Digests,
  DumpModel,
  FirmwareModel,
  FolderModel,
  ManifestModel,
  MemberModel,
  RequirementModel,
  SystemModel,
} from './expectation.js';
import { expectedPath } from './expectation.js';
import { makeId, makePath } from './names.js';
import type { Random } from './random.js';

/** A manifest without faults, as data and as the document that says it. */
export interface MadeManifest {
  readonly model: ManifestModel;
  readonly document: Mapping;
}

export function makeManifest(random: Random, contents: readonly Buffer[]): MadeManifest {
  const folder = random.pick([null, null, '.', 'system/firmware', 'System', 'caf\u00e9']);
  const firmware = makeFirmware(random, contents, folder);
  const ids = firmware.map((one) => one.id);
  const systems = makeSystems(random, ids);
  const model: ManifestModel = {
    folder,
    ignoreCase: random.chance(0.3),
    firmware,
    systems,
  };
  return { model, document: documentOf(random, model) };
}

function makeFirmware(
  random: Random,
  contents: readonly Buffer[],
  defaultFolder: string | null,
): FirmwareModel[] {
  const taken = new Set<string>();
  const paths = new Set<string>();
  return Array.from({ length: random.between(1, 6) }).flatMap(() => {
    const id = makeId(random, taken);
    taken.add(id);
    // Paths equal under case folding would be a fault of the manifest; they are
    // kept apart by a number where chance made them alike.
    const folder = random.chance(0.15) ? random.pick(['.', 'own', 'own/deep']) : null;
    let path = makePath(random);
    const key = (): string =>
      expectedPath(folder ?? defaultFolder, path)
        .normalize('NFKD')
        // First of all, as only the small sharp s becomes SS.
        .toLowerCase()
        .toUpperCase()
        .toLowerCase();
    const isTaken = (): boolean => [...paths].some((other) => clash(other, key()));
    if (isTaken()) path = `${taken.size}.${path}`;
    // A folder of other entries: no name in it would do.
    if (isTaken()) return [];
    paths.add(key());
    const kind = random.pick(['dumps', 'dumps', 'dumps', 'dumps', 'presence', 'members'] as const);
    return {
      id,
      path,
      folder,
      dumps: kind === 'dumps' ? makeDumps(random, contents).map(withoutDigests) : [],
      members: kind === 'members' ? makeMembers(random, contents) : null,
    };
  });
}

/** Whether both cannot be files: the same name to a careless file system, or one below the other. */
function clash(a: string, b: string): boolean {
  return a === b || a.startsWith(`${b}/`) || b.startsWith(`${a}/`);
}

function makeDumps(random: Random, contents: readonly Buffer[]): DumpModel[] {
  const chosen = new Set(
    Array.from({ length: random.pick([1, 1, 1, 2, 3]) }, () => random.pick(contents)),
  );
  return [...chosen].map((bytes, index) => {
    const all = digestsOf(bytes);
    const names = random.some(ALGORITHMS, 0.5);
    if (names.length === 0) names.push(random.pick(ALGORITHMS));
    const digests: Digests = {};
    for (const name of names) digests[name] = all[name];
    return {
      label: random.chance(0.5) ? `revision ${String.fromCharCode(65 + index)}` : null,
      // Now and then a size that contradicts the digests: then nothing matches.
      size: random.chance(0.75) ? bytes.length + (random.chance(0.04) ? 1 : 0) : null,
      digests,
    };
  });
}

/** One in sixteen gives only its size; told from the dump itself, so that seeds go on meaning what they did. */
function withoutDigests(dump: DumpModel): DumpModel {
  const [digest = ''] = Object.values(dump.digests);
  return dump.size !== null && digest.startsWith('0') ? { ...dump, digests: {} } : dump;
}

function makeMembers(random: Random, contents: readonly Buffer[]): MemberModel[] {
  const count = random.between(1, 3);
  return Array.from({ length: count }, (_, index) => ({
    path: `${random.pick(['', 'deep/'])}k${index}.rom`,
    dumps: makeDumps(random, contents),
  }));
}

function makeSystems(random: Random, ids: readonly string[]): SystemModel[] {
  const taken = new Set<string>();
  const unused = new Set(ids);
  const use = (id: string): string => {
    unused.delete(id);
    return id;
  };
  const systems = Array.from({ length: random.between(0, 4) }, () => {
    const id = makeId(random, taken);
    taken.add(id);
    const requires: RequirementModel[] = random
      .some(ids, 0.4)
      .map((one) =>
        random.chance(0.3) ? [...new Set([use(one), use(random.pick(ids))])] : use(one),
      );
    const named = new Set(requires.flat());
    return {
      id,
      requires,
      optional: random
        .some(ids, 0.2)
        .filter((one) => !named.has(one))
        .map(use),
      folders: random.chance(0.3) ? [makeFolder(random)] : [],
    };
  });
  // Firmware that no system names would be a fault too.
  const last = makeId(random, taken);
  return [...systems, { id: last, requires: [], optional: [...unused], folders: [] }];
}

function makeFolder(random: Random): FolderModel {
  return {
    path: random.pick(['games', 'games/osprey', '.', 'Games']),
    atLeast: random.pick([null, 0, 1, 2, 3]),
    extensions: random.some(['osp', 'KES', 'tar.gz'], 0.5),
  };
}

/** Keys in a random order, and what may be left out sometimes left out. */
function documentOf(random: Random, model: ManifestModel): Mapping {
  const pairs: [string, Node][] = [
    ['firmtally', 1],
    ['firmware', new Mapping(model.firmware.map((one) => [one.id, firmwareNode(random, one)]))],
    ['systems', new Mapping(model.systems.map((one) => [one.id, systemNode(random, one)]))],
  ];
  if (model.folder !== null) pairs.push(['folder', model.folder]);
  if (model.ignoreCase) pairs.push(['case', 'ignore']);
  else if (random.chance(0.3)) pairs.push(['case', 'exact']);
  if (random.chance(0.4)) pairs.push(['title', 'Invented, by a fuzzer: \u00ab\u202e\u00bb']);
  if (random.chance(0.4)) {
    const ids = model.systems.map((one) => one.id);
    pairs.push(['loadouts', new Mapping([['pocket', [random.pick(ids)]]])]);
  }
  return shuffled(random, pairs);
}

function firmwareNode(random: Random, one: FirmwareModel): Mapping {
  const pairs: [string, Node][] = [['path', one.path]];
  if (one.folder !== null) pairs.push(['folder', one.folder]);
  if (one.dumps.length > 0) pairs.push(['dumps', one.dumps.map((dump) => dumpNode(random, dump))]);
  if (one.members !== null) {
    const members = one.members.map(
      (member) =>
        new Mapping([
          ['path', member.path],
          ['dumps', member.dumps.map((dump) => dumpNode(random, dump))],
        ]),
    );
    pairs.push(['members', members]);
  }
  if (random.chance(0.2)) pairs.push(['note', 'Runs before any game: "quoted", \\ and # too.']);
  return shuffled(random, pairs);
}

function dumpNode(random: Random, dump: DumpModel): Mapping {
  const pairs: [string, Node][] = Object.entries(dump.digests).map(([name, hex]) => {
    const text = random.chance(0.2) ? hex.toUpperCase() : hex;
    return [name, text];
  });
  if (dump.size !== null) pairs.push(['size', dump.size]);
  if (dump.label !== null) pairs.push(['label', dump.label]);
  return shuffled(random, pairs);
}

function systemNode(random: Random, one: SystemModel): Mapping {
  const pairs: [string, Node][] = [];
  if (random.chance(0.7)) pairs.push(['name', `System ${one.id}`]);
  if (one.requires.length > 0) {
    pairs.push([
      'requires',
      one.requires.map((item) =>
        typeof item === 'string' ? item : new Mapping([['any-of', [...item]]]),
      ),
    ]);
  }
  if (one.optional.length > 0) pairs.push(['optional', [...one.optional]]);
  if (one.folders.length > 0) pairs.push(['folders', one.folders.map(folderNode)]);
  return shuffled(random, pairs);
}

function folderNode(folder: FolderModel): Mapping {
  const holds: [string, Node][] = [];
  if (folder.atLeast !== null) holds.push(['at-least', folder.atLeast]);
  if (folder.extensions.length > 0) holds.push(['extensions', [...folder.extensions]]);
  const pairs: [string, Node][] = [['path', folder.path]];
  if (holds.length > 0) pairs.push(['holds', new Mapping(holds)]);
  return new Mapping(pairs);
}

function shuffled(random: Random, pairs: [string, Node][]): Mapping {
  const rest = [...pairs];
  const result: [string, Node][] = [];
  while (rest.length > 0) result.push(...rest.splice(random.below(rest.length), 1));
  return new Mapping(result);
}
