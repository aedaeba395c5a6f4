import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { BlobReader, Uint8ArrayWriter, ZipReader, type FileEntry } from '@zip.js/zip.js';
import { readManifests, type Manifest } from '@firmtally/core';
import type { Outlook } from '@firmtally/core';
import type { CardFs } from '@firmtally/host';
import { describe, expect, it } from 'vitest';
import { makeZip } from '../../support/zip.js';
import { tempFolder } from '../../support/temp.js';
import { invented, withPlacement, writeFiles, type PlaceSetting } from './scene.js';

const ONE = invented('chip 1', 5000);
const TWO = invented('chip 2', 70_000);
const EMPTY_NAME = '__proto__';

const dump = (bytes: Uint8Array): string =>
  `{size: ${bytes.length}, sha1: ${createHash('sha1').update(bytes).digest('hex')}}`;

async function manifest(): Promise<Manifest> {
  const text = `firmtally: 1
folder: fw
firmware:
  kestrel-chips:
    path: kestrel.zip
    members:
      - {path: k2.rom, dumps: [${dump(TWO)}]}
      - {path: deep/é.rom, dumps: [${dump(ONE)}]}
      - {path: ${EMPTY_NAME}, dumps: [${dump(ONE)}]}
systems: {kestrel: {name: Kestrel, requires: [kestrel-chips]}}
`;
  const found = await readManifests([{ path: 'invented.yaml', bytes: Buffer.from(text) }]);
  if (found.manifest === null) throw new Error(JSON.stringify(found.problems));
  return found.manifest;
}

async function optionsFor(
  pile: Iterable<[string, Uint8Array]>,
  card: Iterable<[string, Uint8Array]> = [],
): Promise<PlaceSetting & { readonly zip: string; readonly cwd: string }> {
  const root = tempFolder();
  for (const folder of ['pile', 'card']) mkdirSync(join(root, folder));
  writeFiles(join(root, 'pile'), pile);
  writeFiles(join(root, 'card'), card);
  return {
    card: join(root, 'card'),
    sources: [join(root, 'pile')],
    cwd: root,
    manifests: await manifest(),
    repair: false,
    clusterSize: 4096,
    jobs: 1,
    zip: join(root, 'card/fw/kestrel.zip'),
  };
}

async function placed(options: PlaceSetting): Promise<Outlook> {
  return withPlacement(options, async (placement) => {
    await placement.apply();
    return placement.look();
  });
}

/** Members by zip.js, another implementation than the one that wrote them. */
async function membersOf(zip: string): Promise<[string, Buffer][]> {
  const reader = new ZipReader(new BlobReader(new Blob([new Uint8Array(readFileSync(zip))])));
  const members: [string, Buffer][] = [];
  for (const entry of await reader.getEntries()) {
    const bytes = await (entry as FileEntry).getData(new Uint8ArrayWriter(), {
      checkSignature: true,
    });
    members.push([entry.filename, Buffer.from(bytes)]);
  }
  await reader.close();
  return members;
}

const WANTED = [
  ['k2.rom', TWO],
  ['deep/é.rom', ONE],
  [EMPTY_NAME, ONE],
];

const SOURCES: readonly (readonly [string, [string, Uint8Array][], [string, Uint8Array][]])[] = [
  [
    'loose, under other names',
    [
      ['a', ONE],
      ['b', TWO],
    ],
    [],
  ],
  [
    'in two ZIPs, under other names',
    [
      ['1.zip', makeZip([{ path: 'x', bytes: ONE, deflate: true }])],
      ['2.zip', makeZip([{ path: 'k1.rom', bytes: TWO }])],
    ],
    [],
  ],
  [
    'in one ZIP with the names mixed up',
    [
      [
        'kestrel.zip',
        makeZip([
          { path: 'k2.rom', bytes: ONE },
          { path: 'deep/é.rom', bytes: TWO },
        ]),
      ],
    ],
    [],
  ],
  [
    'in the pile and in the wrong ZIP on the card',
    [['a', ONE]],
    [['fw/kestrel.zip', makeZip([{ path: 'k2.rom', bytes: TWO }])]],
  ],
];

describe('pack', () => {
  it.each(SOURCES)('makes the wanted ZIP of members %s', async (_, pile, card) => {
    const options = await optionsFor(pile, card);
    const { plan, systems } = await placed(options);
    expect(plan.steps).toEqual([]);
    expect(systems[0]?.readiness).toBe('ready');
    expect(await membersOf(options.zip)).toEqual(WANTED);
  });

  it('gives the same bytes wherever the members come from, and of the size that was planned', async () => {
    const zips = [];
    for (const [, pile, card] of SOURCES) {
      const options = await optionsFor(pile, card);
      const size = await withPlacement(options, async (placement) => {
        const { plan } = await placement.look();
        expect(plan.steps.map(({ kind }) => kind)).toEqual(['pack']);
        await placement.apply();
        return plan.steps[0]?.size;
      });
      const bytes = readFileSync(options.zip);
      expect(bytes.length).toBe(size);
      zips.push(createHash('sha1').update(bytes).digest('hex'));
    }
    expect(new Set(zips).size).toBe(1);
  });

  it('is what other programs take for a sound ZIP', async (context) => {
    const options = await optionsFor([
      ['a', ONE],
      ['b', TWO],
    ]);
    await placed(options);
    let said = '';
    try {
      // CPython's zipfile module: reads every member and checks its CRC-32.
      said = execFileSync('python3', ['-m', 'zipfile', '-t', options.zip], { encoding: 'utf8' });
    } catch (error) {
      context.skip(`no python3 here: ${String(error)}`);
    }
    expect(said).toContain('Done testing');
  });

  it('prefers a ZIP that is right as it is', async () => {
    const whole = makeZip(
      WANTED.map(([path, bytes]) => ({ path: String(path), bytes: bytes as Buffer })),
    );
    const options = await optionsFor([
      ['a', ONE],
      ['b', TWO],
      ['old.zip', whole],
    ]);
    await withPlacement(options, async (placement) => {
      expect((await placement.look()).plan.steps.map(({ kind }) => kind)).toEqual(['copy']);
    });
  });

  it('is not done when a member is lacking', async () => {
    const options = await optionsFor([['a', ONE]]);
    const { plan } = await placed(options);
    expect(plan.toGet.map(({ anyOf }) => anyOf)).toEqual([['kestrel-chips']]);
  });

  it('fails, and leaves nothing, when a member changes after the plan', async () => {
    const options = await optionsFor([
      ['a', ONE],
      ['b', TWO],
    ]);
    await withPlacement(options, async (placement) => {
      const change = (bytes: Buffer | null): void => {
        if (bytes === null) rmSync(join(options.cwd, 'pile/a'));
        else writeFileSync(join(options.cwd, 'pile/a'), bytes);
      };
      const other = invented('other', ONE.length);
      const { results } = await placement.apply({ onPlan: () => change(other) });
      expect(results.map(({ outcome, message }) => [outcome, message])).toEqual([
        ['failed', 'The source has changed since the plan; run again.'],
      ]);
      change(ONE);
      const gone = await placement.apply({ onPlan: () => change(null) });
      expect(gone.results[0]?.outcome).toBe('failed');
    });
  });

  it('fails when what is read back is not what was written', async () => {
    const options = await optionsFor([
      ['a', ONE],
      ['b', TWO],
    ]);
    const wrapCard = (card: CardFs): CardFs => ({
      ...card,
      async *read(path) {
        for await (const chunk of card.read(path)) {
          const bad = Buffer.from(chunk);
          bad[bad.length - 1] = (bad.at(-1) ?? 0) ^ 1;
          yield bad;
        }
      },
    });
    await withPlacement({ ...options, wrapCard }, async (placement) => {
      const { results } = await placement.apply();
      expect(results[0]?.message).toContain('read back differs');
    });
  });
});
