import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { openPlacement, type Applied } from '@firmtally/host';
import { check } from './check.js';
import { digestsOf } from './contents.js';
import { Random } from './random.js';
import { readFaultless } from './subject.js';

const LOADOUTS = ['pocket', 'desk', 'attic'] as const;
const NAMES = ['boot.bin', 'font.bin', 'deep/sound.bin', 'keys.rom'] as const;
const ELSEWHERE = ['other program/data.bin', 'games/one.osp', 'downloads/boot.bin', 'FW/boot.bin'];

type Files = Map<string, Buffer>;

/**
 * Placements for several loadouts one after another, in any order: no file that
 * was not in the way has moved, what a plan foretells comes true, and every
 * system whose bytes are there somewhere ends ready, in every loadout.
 */
export async function placementCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const contents = NAMES.map((_, index) => random.bytes(20 + index));
  const wrong = [random.bytes(20), random.bytes(5)];
  const ids = NAMES.map((_, index) => `fw-${index}`);
  const manifest = await readFaultless(
    JSON.stringify({
      firmtally: 1,
      folder: 'fw',
      firmware: Object.fromEntries<unknown>(
        NAMES.map((path, index) => {
          const bytes = contents[index] ?? Buffer.alloc(0);
          return [ids[index] ?? '', { path, dumps: [{ size: bytes.length, ...digestsOf(bytes) }] }];
        }),
      ),
      systems: Object.fromEntries(ids.map((id) => [`s-${id}`, { name: id, requires: [id] }])),
      loadouts: Object.fromEntries(
        LOADOUTS.map((id) => [id, { systems: ids.map((one) => `s-${one}`), folder: id }]),
      ),
    }),
  );
  const root = mkdtempSync(join(tmpdir(), 'firmtally-fuzz-'));
  try {
    const card = join(root, 'card');
    const pile = join(root, 'pile');
    for (const folder of [card, pile]) mkdirSync(folder);
    const any = [...contents, ...wrong];
    const expected = ['fw', ...LOADOUTS].flatMap((folder) =>
      NAMES.map((name) => `${folder}/${name}`),
    );
    for (const path of random.some([...expected, ...ELSEWHERE], 0.3))
      put(card, path, random.pick(any));
    for (const [index, bytes] of random.some(contents, 0.5).entries())
      put(pile, `p${index}`, bytes);
    const there = [...filesOf(card).values(), ...filesOf(pile).values()];
    const available = contents.map((bytes) => there.some((each) => each.equals(bytes)));
    for (let round = 0; round < 4; round++) {
      const loadout = random.pick([null, ...LOADOUTS]);
      const before = filesOf(card);
      const placement = await openPlacement(card, [pile], {
        cwd: root,
        manifests: manifest,
        loadout,
        repair: random.chance(0.5),
        clusterSize: 4096,
        jobs: 1,
      });
      const applied = await placement.apply({ anyway: true });
      compare(before, filesOf(card), applied);
      for (const [index, id] of ids.entries()) {
        const readiness = applied.after?.systems.find((each) => each.id === `s-${id}`)?.readiness;
        const wanted = available[index] === true ? 'ready' : 'not-ready';
        check(readiness === wanted, 'every system that could be ready is', {
          id,
          readiness,
          loadout,
        });
      }
    }
  } finally {
    rmSync(root, { recursive: true, force: true });
  }
}

function compare(
  before: Files,
  after: Files,
  { before: seen, results, after: now }: Applied,
): void {
  const { plan } = seen;
  check(
    results.every(({ outcome }) => outcome === 'done'),
    'every step is done',
    results,
  );
  const states = now?.systems.map(({ id, readiness, folders }) => {
    const few = folders.filter(({ enough }) => !enough);
    return {
      id,
      readiness,
      tooFew: few.map(({ path, found, atLeast }) => ({ path, found, atLeast })),
    };
  });
  check(JSON.stringify(plan.after.systems) === JSON.stringify(states), 'what was foretold', states);
  check(now?.plan.steps.length === 0, 'nothing is left to do', now?.plan.steps);
  const kept = new Map(plan.kept.map(({ path, to }) => [path, to]));
  const respelled = plan.steps.flatMap((step) => (step.kind === 'case-fix' ? [step] : []));
  for (const [path, bytes] of before) {
    // Folders are respelled before what is in them is kept.
    let moved = path;
    let isRespelled = false;
    for (const step of respelled) {
      const { from, to } = step;
      if (moved !== from.path && !moved.startsWith(`${from.path}/`)) continue;
      // Such a file takes the place of what is kept.
      isRespelled ||= step.entry === 'file';
      moved = to + moved.slice(from.path.length);
    }
    const lies = isRespelled ? moved : (kept.get(moved) ?? moved);
    check(
      after.get(lies)?.equals(bytes) === true,
      'a file that was not in the way is where it was',
      {
        path,
        lies,
      },
    );
  }
}

function put(folder: string, path: string, bytes: Buffer): void {
  mkdirSync(dirname(join(folder, path)), { recursive: true });
  writeFileSync(join(folder, path), bytes);
}

function filesOf(folder: string): Files {
  const files: Files = new Map();
  for (const entry of readdirSync(folder, { withFileTypes: true, recursive: true })) {
    if (!entry.isFile()) continue;
    const path = join(entry.parentPath, entry.name);
    files.set(path.slice(folder.length + 1).replaceAll('\\', '/'), readFileSync(path));
  }
  return files;
}
