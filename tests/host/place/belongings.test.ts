/** What is somebody else's stays where it is: other programs' files, other loadouts' firmware, other names of one file. */
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { readManifests, type Manifest } from '@firmtally/core';
import type { Outlook } from '@firmtally/core';
import type { CardFs } from '@firmtally/host';
import { describe, expect, it, type TestContext } from 'vitest';
import { makeZip } from '../../support/zip.js';
import { needsLinks } from '../../support/system.js';
import { tempFolder } from '../../support/temp.js';
import { fatLikeCard } from './fat-like-card.js';
import { run } from './mounts.js';
import { invented, readFiles, withPlacement, writeFiles, type PlaceSetting } from './scene.js';

const BOOT = invented('boot', 3000);
const FONT = invented('font', 2000);

function dump(bytes: Uint8Array): string {
  const sha1 = createHash('sha1').update(bytes).digest('hex');
  return `{size: ${bytes.length}, sha1: ${sha1}}`;
}

async function manifestOf(yaml: string): Promise<Manifest> {
  const bytes = Buffer.from(`firmtally: 1\n${yaml}`);
  const { manifest, problems } = await readManifests([{ path: 'invented.yaml', bytes }]);
  if (manifest === null) throw new Error(JSON.stringify(problems));
  return manifest;
}

const ONE = `
folder: fw
firmware: {wren-boot: {path: boot.bin, dumps: [${dump(BOOT)}]}}
systems: {wren: {name: Wren, requires: [wren-boot]}}
`;

interface Setting {
  readonly root: string;
  readonly card: string;
  readonly pile: string;
}

type Files = Readonly<Record<string, string | Buffer>>;

function setting(card: Files, pile: Files = {}): Setting {
  const root = tempFolder();
  const places = { root, card: join(root, 'card'), pile: join(root, 'pile') };
  for (const [folder, files] of [
    [places.card, card],
    [places.pile, pile],
  ] as const) {
    mkdirSync(folder);
    writeFiles(
      folder,
      Object.entries(files).map(([path, bytes]): [string, Buffer] => [path, Buffer.from(bytes)]),
    );
  }
  return places;
}

function optionsOf(
  { card, pile }: Setting,
  manifest: Manifest,
  more: Partial<PlaceSetting> = {},
): PlaceSetting {
  return {
    card,
    sources: [pile],
    cwd: '/',
    manifests: manifest,
    repair: true,
    clusterSize: 4096,
    jobs: 1,
    ...more,
  };
}

async function placed(options: PlaceSetting): Promise<Outlook> {
  return withPlacement(options, async (placement) => {
    await placement.apply();
    return placement.look();
  });
}

const textsOf = (folder: string): Record<string, string> =>
  Object.fromEntries([...readFiles(folder)].map(([path, bytes]) => [path, String(bytes)]));

describe('a presence-only entry', () => {
  const YAML = `
folder: fw
firmware: {wren-splash: {path: splash.png}}
systems: {wren: {name: Wren, requires: [wren-splash]}}
`;

  it('is not filled with a file that only has its name, but such files are named', async () => {
    const files = { 'other program/splash.png': 'theirs' };
    const places = setting(files, { 'splash.png': 'from a pile' });
    const { plan, systems } = await placed(optionsOf(places, await manifestOf(YAML)));
    expect(plan.steps).toEqual([]);
    expect(systems[0]?.readiness).toBe('not-ready');
    const where = plan.toGet[0]?.facts.map((each) => each.code === 'met-instead' && each.path);
    expect(where).toEqual(['splash.png', 'other program/splash.png']);
    expect(textsOf(places.card)).toEqual(files);
  });

  it('gets its letter case', async () => {
    const places = setting({ 'FW/Splash.PNG': 'there' });
    const { systems } = await placed(optionsOf(places, await manifestOf(YAML)));
    expect(systems[0]?.readiness).toBe('unproven');
    expect(textsOf(places.card)).toEqual({ 'fw/splash.png': 'there' });
  });
});

describe('what another loadout or system needs', () => {
  const LOADOUTS = `${ONE}
loadouts: {pocket: {systems: [wren], folder: pocket}, desk: {systems: [wren], folder: desk}}
`;

  it('is copied, so that both are ready', async () => {
    const places = setting({ 'pocket/boot.bin': BOOT });
    const manifest = await manifestOf(LOADOUTS);
    for (const loadout of ['desk', 'pocket', null]) {
      const { systems } = await placed(optionsOf(places, manifest, { loadout }));
      expect(systems[0]?.readiness).toBe('ready');
    }
    expect([...readFiles(places.card).keys()].sort()).toEqual([
      'desk/boot.bin',
      'fw/boot.bin',
      'pocket/boot.bin',
    ]);
  });

  it('keeps its letter case', async () => {
    const places = setting({ 'Pocket/boot.bin': BOOT });
    const manifest = await manifestOf(LOADOUTS.replace('folder: desk', 'folder: Pocket'));
    const { plan } = await placed(optionsOf(places, manifest, { loadout: 'pocket' }));
    expect(plan.problems.map(({ code }) => code)).toEqual(['name-clash']);
    expect([...readFiles(places.card).keys()]).toEqual(['Pocket/boot.bin']);
  });

  it('is not moved out of the way where two want one path', async () => {
    const places = setting({ 'fw/alt/boot.bin': BOOT }, { b: FONT });
    const manifest = await manifestOf(`
folder: fw
firmware:
  wren-boot: {path: alt/boot.bin, dumps: [${dump(BOOT)}]}
  lark-boot: {path: boot.bin, dumps: [${dump(FONT)}]}
systems: {wren: {name: Wren, requires: [wren-boot]}, lark: {name: Lark, requires: [lark-boot]}}
loadouts: {pocket: {systems: [lark], folder: fw/alt}}
`);
    const { plan } = await placed(optionsOf(places, manifest, { loadout: 'pocket' }));
    expect(plan.problems).toMatchObject([{ code: 'path-conflict', firmware: 'lark-boot' }]);
    expect([...readFiles(places.card).keys()]).toEqual(['fw/alt/boot.bin']);
    expect(readFileSync(join(places.card, 'fw/alt/boot.bin')).equals(BOOT)).toBe(true);
  });

  it('keeps the folder whose content is counted as it is spelled', async () => {
    const places = setting({ 'Games/one.osp': 'a game' }, { b: BOOT });
    const manifest = await manifestOf(`
firmware: {wren-boot: {path: games/boot.bin, dumps: [${dump(BOOT)}]}}
systems:
  wren: {name: Wren, requires: [wren-boot]}
  lark: {name: Lark, folders: [{path: Games, holds: {at-least: 1, extensions: [osp]}}]}
`);
    const { plan } = await placed(optionsOf(places, manifest, { systems: ['wren'] }));
    expect(plan.problems.map(({ code }) => code)).toEqual(['name-clash']);
    expect([...readFiles(places.card).keys()]).toEqual(['Games/one.osp']);
  });
});

it("a file in another program's folder stays, and is copied", async () => {
  const places = setting({ 'other program/data/b': BOOT });
  const { systems } = await placed(optionsOf(places, await manifestOf(ONE)));
  expect(systems[0]?.readiness).toBe('ready');
  expect([...readFiles(places.card).keys()].sort()).toEqual([
    'fw/boot.bin',
    'other program/data/b',
  ]);
});

describe('a short alias', () => {
  /** FAT and Windows find a file under its short alias too, though no listing shows it. */
  function withAlias(aliases: Readonly<Record<string, string>>): (card: CardFs) => CardFs {
    return (real) => {
      const fat = fatLikeCard(real);
      const long = (path: string): string => {
        for (const [alias, name] of Object.entries(aliases)) {
          if (path === alias || path.startsWith(`${alias}/`))
            return name + path.slice(alias.length);
        }
        return path;
      };
      return {
        ...fat,
        stat: (path) => fat.stat(long(path)),
        list: (path) => fat.list(long(path)),
        makeFolder: (path) => fat.makeFolder(long(path)),
        create: (path) => fat.create(long(path)),
        rename: (path, to) => fat.rename(long(path), long(to)),
      };
    };
  }

  it('of another file is not a free name', async () => {
    const places = setting({ 'fw/Firmware image.bin': 'of the person' }, { b: BOOT });
    const manifest = await manifestOf(ONE.replace('boot.bin', 'FIRMWA~1.BIN'));
    const wrapCard = withAlias({ 'fw/FIRMWA~1.BIN': 'fw/Firmware image.bin' });
    await withPlacement(optionsOf(places, manifest, { wrapCard }), async (placement) => {
      const { results } = await placement.apply();
      expect(results[0]?.outcome).toBe('failed');
      expect(results[0]?.message).toContain('short alias');
    });
    expect(textsOf(places.card)).toEqual({ 'fw/Firmware image.bin': 'of the person' });
  });

  it('of another folder is not that folder', async () => {
    const places = setting({ 'firmware of others/notes': 'theirs' }, { b: BOOT });
    const manifest = await manifestOf(ONE.replace('folder: fw', 'folder: FIRMWA~1'));
    const wrapCard = withAlias({ 'FIRMWA~1': 'firmware of others' });
    await withPlacement(optionsOf(places, manifest, { wrapCard }), async (placement) => {
      const { results } = await placement.apply();
      expect(results[0]?.message).toContain('short alias');
    });
    expect([...readFiles(places.card).keys()]).toEqual(['firmware of others/notes']);
  });
});

describe('a source that is the card under another name', () => {
  function bind(context: TestContext, from: string, to: string): void {
    mkdirSync(to, { recursive: true });
    try {
      run('mount', '--bind', from, to);
    } catch (error) {
      context.skip(`cannot bind mounts here: ${String(error)}`);
    }
    context.onTestFinished(() => {
      run('umount', to);
    });
  }

  const refused = async (places: Setting, source: string): Promise<string> => {
    const options = optionsOf(places, await manifestOf(ONE), { sources: [source] });
    const failure: unknown = await withPlacement(options, (one) => one.look()).then(
      () => null,
      (error: unknown) => error,
    );
    expect(failure).toMatchObject({ code: 'usage' });
    return (failure as Error).message.replaceAll(places.root, '');
  };

  it('is refused when it is the card', async (context) => {
    const places = setting({ 'x/b': BOOT });
    bind(context, places.card, join(places.root, 'again'));
    expect(await refused(places, join(places.root, 'again'))).toBe(
      'The source /again is on the card itself.',
    );
    expect(await refused(places, join(places.root, 'again/x'))).toContain('on the card itself');
    expect(await refused(places, join(places.root, 'again/x/b'))).toContain('on the card itself');
  });

  it('is refused when it is a folder of the card', async (context) => {
    const places = setting({ 'deep/x/b': BOOT });
    bind(context, join(places.card, 'deep/x'), join(places.root, 'again'));
    expect(await refused(places, join(places.root, 'again'))).toContain('on the card itself');
  });

  it('is refused when it holds the card, or a part of it', async (context) => {
    const places = setting({ 'deep/x/b': BOOT }, { 'below/y': '' });
    bind(context, places.card, join(places.pile, 'below/again'));
    expect(await refused(places, places.pile)).toContain('holds the card, or a part of it, at');
  });

  it('is refused when the card is what is named twice', async (context) => {
    const places = setting({ 'x/b': BOOT });
    bind(context, places.root, join(places.root, '..', `${places.root.slice(5)}-again`));
    const card = join(`${places.root}-again`, 'card');
    expect(await refused({ ...places, card }, places.root)).toContain('holds the card');
  });

  it('through a link is refused too', async (context) => {
    needsLinks(context);
    const places = setting({ 'x/b': BOOT });
    symlinkSync(join(places.card, 'x'), join(places.root, 'link'));
    expect(await refused(places, join(places.root, 'link'))).toContain('on the card itself');
  });
});

it('of two members with one name the right one is extracted', async () => {
  const wrong = Buffer.from('another content');
  for (const order of [
    [BOOT, wrong],
    [wrong, BOOT],
  ]) {
    const zip = makeZip(order.map((bytes) => ({ path: 'boot.bin', bytes })));
    const places = setting({}, { 'a.zip': zip });
    const { systems } = await placed(optionsOf(places, await manifestOf(ONE)));
    expect(systems[0]?.readiness).toBe('ready');
  }
});

describe('a case fix that a kill left half-done', () => {
  const HALF = 'fw/.firmtally-00112233445566aa.case-boot.bin';

  it('beside a file that has the name by now is kept, and the run settles', async () => {
    for (const name of ['boot.bin', 'BOOT.BIN']) {
      const places = setting({ [HALF]: BOOT, [`fw/${name}`]: 'other' });
      const outlook = await placed(optionsOf(places, await manifestOf(ONE)));
      expect(outlook.leftovers).toEqual([]);
      expect(outlook.plan.steps).toEqual([]);
      expect(outlook.systems[0]?.readiness).toBe('ready');
      expect([...readFiles(places.card).values()].map(String).sort()).toEqual(
        [String(BOOT), String(BOOT), 'other'].sort(),
      );
      expect(existsSync(join(places.card, HALF))).toBe(false);
    }
  });

  it('is said when it cannot be settled', async () => {
    const files = { [HALF]: BOOT, 'fw/boot.bin': 'other', 'firmtally-kept': 'a file' };
    const places = setting(files);
    const options = optionsOf(places, await manifestOf(ONE));
    await withPlacement(options, async (placement) => {
      const { leftovers } = await placement.look();
      const applied = await placement.apply();
      expect(applied.leftovers.map(({ leftover }) => leftover)).toEqual(leftovers);
      expect(applied.leftovers[0]?.message).not.toBeNull();
      expect((await placement.look()).leftovers).toEqual(leftovers);
    });
    expect(textsOf(places.card)).toEqual(
      Object.fromEntries(Object.entries(files).map(([path, bytes]) => [path, String(bytes)])),
    );
  });
});

it('a corrected copy serves every entry that wants it, in one run', async () => {
  const places = setting({}, { 'boot.bin.gz': gzipSync(BOOT) });
  const manifest = await manifestOf(`
folder: fw
firmware:
  lark-start: {path: start.rom, dumps: [${dump(BOOT)}]}
  wren-boot: {path: boot.bin, dumps: [${dump(BOOT)}]}
  wren-copy: {path: deep/other.bin, dumps: [${dump(BOOT)}]}
systems: {wren: {name: Wren, requires: [wren-boot, wren-copy, lark-start]}}
`);
  const { systems, plan } = await placed(optionsOf(places, manifest));
  expect(plan.steps).toEqual([]);
  expect(systems[0]?.readiness).toBe('ready');
});

it('a damaged file in the way is what its corrected copy is made from', async () => {
  const damaged = Buffer.concat([BOOT, Buffer.alloc(500)]);
  const places = setting({ 'FW/boot.bin': damaged });
  const { systems } = await placed(optionsOf(places, await manifestOf(ONE)));
  expect(systems[0]?.readiness).toBe('ready');
  expect(readFileSync(join(places.card, 'firmtally-kept/fw/boot.bin')).equals(damaged)).toBe(true);
});

it('a link that stands at the name keeps its place', async (context) => {
  needsLinks(context);
  const places = setting({}, { b: BOOT });
  mkdirSync(join(places.card, 'fw'));
  writeFileSync(join(places.root, 'outside'), 'precious');
  symlinkSync(join(places.root, 'outside'), join(places.card, 'fw/boot.bin'));
  const { plan } = await placed(optionsOf(places, await manifestOf(ONE)));
  expect(plan.problems.map(({ code }) => code)).toEqual(['not-a-file']);
  expect(readFileSync(join(places.root, 'outside'), 'utf8')).toBe('precious');
});
