import { FirmtallyError, readManifests, selectSystems, type Manifest } from '@firmtally/core';
import { beforeAll, describe, expect, it } from 'vitest';

const text = `firmtally: 1
folder: system/firmware
firmware:
  osprey-boot: {path: osprey.bin}
  kestrel-boot: {path: kestrel.bin, folder: own}
  kestrel-east: {path: east.bin}
  splash: {path: splash.bin, folder: .}
  merlin-boot: {path: merlin.bin}
systems:
  osprey: {requires: [osprey-boot], optional: [splash]}
  kestrel: {requires: [kestrel-boot, {any-of: [kestrel-east, osprey-boot]}]}
  merlin: {requires: [merlin-boot]}
  teal: {}
  garganey: {folders: [{path: games/garganey, pictures: {folder: games/garganey/art}}, {path: saves}, {path: .}]}
loadouts:
  pocket: [osprey, teal]
  deck: {name: Deck, systems: [kestrel], folder: bios}
  shelf: {systems: [garganey], content: {games: roms, games/garganey/art: pictures, saves: .}}
  deep: {systems: [garganey], content: {.: user}}
`;

let manifest: Manifest;
beforeAll(async () => {
  const result = await readManifests([{ path: 'm.yaml', bytes: new TextEncoder().encode(text) }]);
  if (result.manifest === null) throw new Error(JSON.stringify(result.problems));
  manifest = result.manifest;
});

function select(request: Parameters<typeof selectSystems>[1]): {
  systems: string[];
  paths: Record<string, string>;
} {
  const { systems, firmware } = selectSystems(manifest, request);
  return {
    systems: systems.map(({ id }) => id),
    paths: Object.fromEntries(firmware.map((entry) => [entry.firmware.id, entry.expectedPath])),
  };
}

describe('selectSystems', () => {
  it('takes all when nothing is asked for, in id order', () => {
    expect(select({})).toEqual({
      systems: ['garganey', 'kestrel', 'merlin', 'osprey', 'teal'],
      paths: {
        'kestrel-boot': 'own/kestrel.bin',
        'kestrel-east': 'system/firmware/east.bin',
        'merlin-boot': 'system/firmware/merlin.bin',
        'osprey-boot': 'system/firmware/osprey.bin',
        splash: 'splash.bin',
      },
    });
  });

  it("takes content folders where the loadout's device has them", () => {
    const folders = (loadout: string): unknown =>
      selectSystems(manifest, { loadout }).systems[0]?.folders.map(({ path, pictures }) => [
        path,
        pictures?.folder ?? null,
      ]);
    expect(folders('shelf')).toEqual([
      ['roms/garganey', 'pictures'],
      ['', null],
      ['', null],
    ]);
    expect(folders('deep')).toEqual([
      ['user/games/garganey', 'user/games/garganey/art'],
      ['user/saves', null],
      ['user', null],
    ]);
  });

  it('takes the firmware of the systems named, required, any-of and optional', () => {
    expect(select({ systems: ['osprey'] })).toEqual({
      systems: ['osprey'],
      paths: { 'osprey-boot': 'system/firmware/osprey.bin', splash: 'splash.bin' },
    });
  });

  it("moves firmware to a loadout's folder unless it has its own", () => {
    expect(select({ loadout: 'deck' })).toEqual({
      systems: ['kestrel'],
      paths: {
        'kestrel-boot': 'own/kestrel.bin',
        'kestrel-east': 'bios/east.bin',
        'osprey-boot': 'bios/osprey.bin',
      },
    });
  });

  it('adds systems to a loadout, each once', () => {
    expect(select({ loadout: 'pocket', systems: ['merlin', 'teal'] }).systems).toEqual([
      'merlin',
      'osprey',
      'teal',
    ]);
  });

  it.each([
    [{ systems: ['ospry'] }, 'unknown-system', 'Did you mean "osprey"?'],
    [
      { systems: ['xxxxxxx'] },
      'unknown-system',
      'Known systems: garganey, kestrel, merlin, osprey, teal.',
    ],
    [{ systems: ['constructor'] }, 'unknown-system', /Known systems/],
    [{ loadout: 'poket' }, 'unknown-loadout', 'Did you mean "pocket"?'],
    [{ loadout: '' }, 'unknown-loadout', 'Known loadouts: deck, deep, pocket, shelf.'],
  ])('refuses %j with a remedy', (request, code, remedy) => {
    const attempt = (): unknown => selectSystems(manifest, request);
    expect(attempt).toThrow(FirmtallyError);
    try {
      attempt();
    } catch (error) {
      expect((error as FirmtallyError).code).toBe(code);
      expect((error as FirmtallyError).remedy).toMatch(remedy);
    }
  });
});
