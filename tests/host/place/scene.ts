/** An invented card with one firmware of every kind of step, and a pile to place from. All made from a seed. */
import { createHash } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join, sep } from 'node:path';
import { crc32, gzipSync } from 'node:zlib';
import type { Dump, Firmware, Manifest, System } from '@firmtally/core';
import { makeZip } from '../../support/zip.js';
import { openPlacement, type Placement, type PlacementOptions } from '@firmtally/host';

/** Bytes that look random and are always the same. */
export function invented(seed: string, size: number): Buffer {
  const parts: Buffer[] = [];
  for (let length = 0, index = 0; length < size; index++) {
    const part = createHash('sha256').update(`${seed} ${index}`).digest();
    parts.push(part);
    length += part.length;
  }
  return Buffer.concat(parts).subarray(0, size);
}

const LOCATION = { file: 'invented.yaml', line: 1, column: 1, endLine: 1, endColumn: 1 };

export const DUMPS = {
  boot: invented('boot', 40_000),
  east: invented('east', 4096),
  west: invented('west', 5000),
  keys: invented('keys', 700),
  sound: invented('sound', 9000),
  video: invented('video', 1234),
  menu: invented('menu', 8192),
  both: invented('both', 2222),
} as const;
type Name = keyof typeof DUMPS;

function dumpOf(bytes: Uint8Array): Dump {
  const hash = (name: string): string => createHash(name).update(bytes).digest('hex');
  return {
    label: '#1',
    size: bytes.length,
    digests: {
      crc32: crc32(bytes).toString(16).padStart(8, '0'),
      md5: hash('md5'),
      sha1: hash('sha1'),
    },
    location: LOCATION,
  };
}

export function manifestFor(paths: Readonly<Record<string, Uint8Array>>): Manifest {
  const firmware = new Map<string, Firmware>();
  for (const [path, bytes] of Object.entries(paths)) {
    firmware.set(path, {
      id: path,
      path,
      folder: null,
      defaultFolder: '',
      case: 'exact',
      note: null,
      dumps: [dumpOf(bytes)],
      members: null,
      location: LOCATION,
    });
  }
  const system: System = {
    id: 'osprey',
    name: 'Osprey',
    requires: [...firmware.keys()].map((id) => ({ firmware: id })),
    optional: [],
    folders: [],
    case: 'exact',
    location: LOCATION,
  };
  return { sources: [], firmware, systems: new Map([['osprey', system]]), loadouts: new Map() };
}

const FOLDER = 'system/fw';
const PATHS: Readonly<Record<string, Name>> = {
  [`${FOLDER}/boot.bin`]: 'boot', // missing: copied
  [`${FOLDER}/east.bin`]: 'east', // a wrong file in the way: kept
  [`${FOLDER}/west.bin`]: 'west', // on the card under another name: copied
  [`${FOLDER}/keys.bin`]: 'keys', // letter case of name and folder
  [`${FOLDER}/deep/sound.bin`]: 'sound', // damaged: repaired from the pile
  [`${FOLDER}/video.bin`]: 'video', // has the bytes of menu.bin, and the other way round
  [`${FOLDER}/menu.bin`]: 'menu',
  [`${FOLDER}/deep/both.bin`]: 'both', // on the card, where another entry expects it
  [`${FOLDER}/both.bin`]: 'both',
};

/** A ZIP of which one member lies loose under another name, one in a ZIP, one in a wrong ZIP on the card. */
const CHIPS = {
  path: `${FOLDER}/chips.zip`,
  members: {
    'c1.rom': invented('c1', 6000),
    'c2.rom': invented('c2', 3000),
    'c3.rom': invented('c3', 10),
  },
} as const;

function withChips(manifest: Manifest): Manifest {
  const [some] = manifest.firmware.values();
  const [system] = manifest.systems.values();
  if (some === undefined || system === undefined) throw new Error('an empty manifest');
  const { path } = CHIPS;
  const members = Object.entries(CHIPS.members).map(([name, bytes]) => ({
    path: name,
    dumps: [dumpOf(bytes)],
  }));
  const chips: Firmware = { ...some, id: path, path, dumps: [], members };
  const requires = [...system.requires, { firmware: path }];
  return {
    ...manifest,
    firmware: new Map([...manifest.firmware, [path, chips]]),
    systems: new Map([[system.id, { ...system, requires }]]),
  };
}

export const MANIFEST = withChips(
  manifestFor(Object.fromEntries(Object.entries(PATHS).map(([path, name]) => [path, DUMPS[name]]))),
);

/** Files of the card before anything is placed. */
export function cardFiles(): Map<string, Buffer> {
  return new Map<string, Buffer>([
    ['System/FW/east.bin', Buffer.from('not the right one')],
    ['elsewhere/some-west.dat', DUMPS.west],
    ['System/FW/KEYS.BIN', DUMPS.keys],
    ['System/FW/video.bin', DUMPS.menu],
    ['System/FW/menu.bin', DUMPS.video],
    ['System/FW/both.bin', DUMPS.both],
    [
      'System/FW/chips.zip',
      makeZip([
        { path: 'c1.rom', bytes: Buffer.from('not the right one') },
        { path: 'c3.rom', bytes: CHIPS.members['c3.rom'] },
      ]),
    ],
    ['System/FW/notes.txt', Buffer.from('of the person')],
    ['games/one.osp', Buffer.from('a game')],
    // Kept by an earlier run, so that names there are taken.
    ['firmtally-kept/system/fw/east.bin', Buffer.from('kept long ago')],
  ]);
}

export function pileFiles(): Map<string, Buffer> {
  return new Map<string, Buffer>([
    ['boot copy.bin', DUMPS.boot],
    ['old/e', DUMPS.east],
    ['chips/1', CHIPS.members['c1.rom']],
    ['chips/some.zip', makeZip([{ path: 'two', bytes: CHIPS.members['c2.rom'], deflate: true }])],
    ['sound.bin.gz', gzipSync(DUMPS.sound)],
  ]);
}

export function writeFiles(root: string, files: Iterable<[string, Uint8Array]>): void {
  for (const [path, bytes] of files) {
    mkdirSync(dirname(join(root, path)), { recursive: true });
    writeFileSync(join(root, path), bytes);
  }
}

/** Path with '/' separators -> content, of everything below a folder. */
export function readFiles(root: string): Map<string, Buffer> {
  const found = new Map<string, Buffer>();
  for (const entry of readdirSync(root, { withFileTypes: true, recursive: true })) {
    if (!entry.isFile()) continue;
    const path = join(entry.parentPath, entry.name);
    found.set(path.slice(root.length + 1).replaceAll(sep, '/'), readFileSync(path));
  }
  return found;
}

export interface Scene {
  readonly card: string;
  readonly pile: string;
}

/** A card and a pile in a folder. */
export function makeScene(root: string): Scene {
  const scene = { card: join(root, 'card'), pile: join(root, 'pile') };
  writeFiles(scene.card, cardFiles());
  writeFiles(scene.pile, pileFiles());
  return scene;
}

/** What a placement is opened with. */
export interface PlaceSetting extends PlacementOptions {
  readonly card: string;
  readonly sources: readonly string[];
}

export function optionsFor(scene: Scene, manifest: Manifest = MANIFEST): PlaceSetting {
  return {
    card: scene.card,
    sources: [scene.pile],
    cwd: '/',
    manifests: manifest,
    repair: true,
    clusterSize: 4096,
    jobs: 1,
  };
}

export async function withPlacement<T>(
  { card, sources, ...options }: PlaceSetting,
  work: (placement: Placement) => Promise<T>,
): Promise<T> {
  return work(await openPlacement(card, sources, options));
}

/** Every content of `before` is somewhere in `now`, at least as often. */
export function lost(before: Iterable<Buffer>, now: Iterable<Buffer>): string[] {
  const left = new Map<string, number>();
  const key = (bytes: Buffer): string => createHash('sha1').update(bytes).digest('hex');
  for (const bytes of now) left.set(key(bytes), (left.get(key(bytes)) ?? 0) + 1);
  const missing: string[] = [];
  for (const bytes of before) {
    const count = left.get(key(bytes)) ?? 0;
    if (count === 0)
      missing.push(`${bytes.length} bytes: ${bytes.subarray(0, 20).toString('latin1')}`);
    else left.set(key(bytes), count - 1);
  }
  return missing;
}

/** A manifest as a file of JSON, which is what the command reads. */
export function manifestText({ firmware, systems }: Manifest): string {
  const written = (dumps: readonly Dump[]): object[] =>
    dumps.map(({ size, digests }) => ({ size, ...digests }));
  const entries = [...firmware].map(([id, { path, dumps, members }]) => [
    id.replaceAll('/', '-'),
    members === null
      ? { path, dumps: written(dumps) }
      : { path, members: members.map((each) => ({ ...each, dumps: written(each.dumps) })) },
  ]);
  const all = [...systems].map(([id, { name, requires }]) => [
    id,
    {
      name,
      requires: requires.map((item) =>
        'firmware' in item
          ? item.firmware.replaceAll('/', '-')
          : { 'any-of': item.anyOf.map((each) => each.replaceAll('/', '-')) },
      ),
    },
  ]);
  return JSON.stringify({
    firmtally: 1,
    firmware: Object.fromEntries(entries) as unknown,
    systems: Object.fromEntries(all) as unknown,
  });
}
