import {
  appendFileSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import type { CardFs, Placement } from '@firmtally/host';
import { beforeEach, describe, expect, it } from 'vitest';
import { needsLinks } from '../../support/system.js';
import { tempFolder } from '../../support/temp.js';
import { mountTmpfs, remount, run } from './mounts.js';
import {
  DUMPS,
  invented,
  manifestFor,
  optionsFor,
  readFiles,
  withPlacement,
  writeFiles,
  type Scene,
} from './scene.js';

const temporaries = (root: string): string[] =>
  [...readFiles(root).keys()].filter((path) => path.includes('.firmtally-'));

/** A pile with two files that a card lacks. */
function twoFiles(root: string, card = join(root, 'card')): Scene {
  const pile = join(root, 'pile');
  mkdirSync(card, { recursive: true });
  writeFiles(pile, [
    ['a', DUMPS.boot],
    ['b', DUMPS.east],
  ]);
  return { card, pile };
}
const TWO = manifestFor({ 'fw/a.bin': DUMPS.boot, 'fw/b.bin': DUMPS.east });

/** What becomes of the steps when something happens between plan and write. */
async function outcomes(
  placement: Placement,
  meanwhile: () => void = () => undefined,
): Promise<(string | null)[][]> {
  const { results } = await placement.apply({ onPlan: meanwhile });
  return results.map(({ step, outcome, message }) => [step.to, outcome, message]);
}

const openTwo = <T>(
  scene: Scene,
  work: (placement: Placement) => Promise<T>,
  wrapCard?: (card: CardFs) => CardFs,
): Promise<T> =>
  withPlacement(
    { ...optionsFor(scene, TWO), ...(wrapCard === undefined ? {} : { wrapCard }) },
    work,
  );

/** Does something at the first write of a run. */
function atFirstWrite(act: () => void): (card: CardFs) => CardFs {
  let acted = false;
  return (card) => ({
    ...card,
    create: async (path) => {
      const file = await card.create(path);
      return {
        ...file,
        write: async (chunk) => {
          await file.write(chunk);
          if (!acted) act();
          acted = true;
        },
      };
    },
  });
}

describe('a full card', () => {
  it('stops with the temporary file removed, and goes on when there is room', async (context) => {
    const root = tempFolder();
    const card = join(root, 'card');
    mountTmpfs(context, card, '96k');
    const scene = twoFiles(root, card);
    await openTwo(scene, async (placement) => {
      // The room goes after the plan was made: 96 KiB less 64 leave too little for 40,000 bytes.
      const fill = (): void => writeFileSync(join(card, 'filler'), invented('filler', 64 * 1024));
      const { before, results, stopped } = await placement.apply({ onPlan: fill });
      expect(before.plan.fits).toBe(true);
      expect(stopped?.code).toBe('no-space');
      expect(stopped?.message).toBe('The card is full.');
      expect(results.map(({ outcome }) => outcome)).toEqual(['not-done', 'not-done']);
      expect([...readFiles(card).keys()]).toEqual(['filler']);

      rmSync(join(card, 'filler'));
      await placement.apply();
      expect((await placement.look()).systems[0]?.readiness).toBe('ready');
    });
  });

  it('is a problem of the plan when it is full beforehand', async (context) => {
    const root = tempFolder();
    const card = join(root, 'card');
    mountTmpfs(context, card, '32k');
    await openTwo(twoFiles(root, card), async (placement) => {
      const { plan } = await placement.look();
      expect(plan.fits).toBe(false);
      // 40,000 and 4,096 bytes in clusters of 4 KiB, and a folder.
      expect(plan.space).toMatchObject({ needed: 12 * 4096, clusters: 12, free: 32 * 1024 });
      await expect(placement.apply()).rejects.toMatchObject({ code: 'place-failed' });
      expect(readFiles(card).size).toBe(0);
    });
  });
});

it('stops at a read-only card, which stays as it was', async (context) => {
  const root = tempFolder();
  const card = join(root, 'card');
  mountTmpfs(context, card, '1m');
  const scene = twoFiles(root, card);
  writeFiles(card, [['fw/a.bin', Buffer.from('other')]]);
  remount(card, 'ro');
  await openTwo(scene, async (placement) => {
    const { stopped } = await placement.apply();
    expect(stopped?.code).toBe('read-only');
    expect([...readFiles(card)].map(([path, bytes]) => [path, String(bytes)])).toEqual([
      ['fw/a.bin', 'other'],
    ]);
  });
});

it('fails only the steps in a folder that may not be written', async (context) => {
  const root = tempFolder();
  const scene = { ...twoFiles(root) };
  const manifest = manifestFor({ 'locked/a.bin': DUMPS.boot, 'open/b.bin': DUMPS.east });
  const locked = join(scene.card, 'locked');
  mkdirSync(locked);
  try {
    // Root ignores permissions, but not the immutable flag.
    run('chattr', '+i', locked);
  } catch (error) {
    context.skip(`no immutable folders here: ${String(error)}`);
  }
  try {
    await withPlacement(optionsFor(scene, manifest), async (placement) => {
      expect(await outcomes(placement)).toEqual([
        ['locked/a.bin', 'failed', 'No permission to write there.'],
        ['open/b.bin', 'done', null],
      ]);
    });
  } finally {
    run('chattr', '-i', locked);
  }
  expect(readdirSync(locked)).toEqual([]);
});

describe('a link between plan and write', () => {
  beforeEach(needsLinks);

  const LINK = 'fw is a link, not a folder; nothing is written through a link.';

  it('in place of a folder is never followed', async () => {
    const root = tempFolder();
    const scene = twoFiles(root);
    const outside = join(root, 'outside');
    mkdirSync(outside);
    await openTwo(scene, async (placement) => {
      const link = (): void => symlinkSync(outside, join(scene.card, 'fw'));
      expect(await outcomes(placement, link)).toEqual([
        ['fw/a.bin', 'failed', LINK],
        ['fw/b.bin', 'failed', LINK],
      ]);
    });
    expect(readdirSync(outside)).toEqual([]);
  });

  it('in place of a folder while a file is written is never followed', async () => {
    const root = tempFolder();
    const scene = twoFiles(root);
    const outside = join(root, 'outside');
    mkdirSync(outside);
    const swap = (): void => {
      renameSync(join(scene.card, 'fw'), join(root, 'fw-aside'));
      symlinkSync(outside, join(scene.card, 'fw'));
    };
    await openTwo(
      scene,
      async (placement) => {
        const results = await outcomes(placement);
        expect(results.map(([, outcome]) => outcome)).toEqual(['failed', 'failed']);
      },
      atFirstWrite(swap),
    );
    expect(readdirSync(outside)).toEqual([]);
  });

  it('in place of the file in the way is left alone', async () => {
    const root = tempFolder();
    const scene = twoFiles(root);
    const outside = join(root, 'of-the-person');
    writeFileSync(outside, 'precious');
    writeFiles(scene.card, [['fw/a.bin', Buffer.from('precious')]]);
    await openTwo(scene, async (placement) => {
      const results = await outcomes(placement, () => {
        rmSync(join(scene.card, 'fw/a.bin'));
        symlinkSync(outside, join(scene.card, 'fw/a.bin'));
      });
      expect(results[0]?.slice(0, 2)).toEqual(['fw/a.bin', 'failed']);
      expect(results[1]?.slice(0, 2)).toEqual(['fw/b.bin', 'done']);
    });
    expect(readFileSync(outside, 'utf8')).toBe('precious');
    expect(temporaries(scene.card)).toEqual([]);
  });

  it('in place of the folder for kept files is never followed', async () => {
    const root = tempFolder();
    const scene = twoFiles(root);
    const outside = join(root, 'outside');
    mkdirSync(outside);
    writeFiles(scene.card, [['fw/a.bin', Buffer.from('in the way')]]);
    await openTwo(scene, async (placement) => {
      const link = (): void => symlinkSync(outside, join(scene.card, 'firmtally-kept'));
      const results = await outcomes(placement, link);
      expect(results[0]?.slice(0, 2)).toEqual(['fw/a.bin', 'failed']);
    });
    expect(readdirSync(outside)).toEqual([]);
    expect(readFileSync(join(scene.card, 'fw/a.bin'), 'utf8')).toBe('in the way');
  });

  it('that was there for the plan is a problem of the plan', async () => {
    const root = tempFolder();
    const scene = twoFiles(root);
    const outside = join(root, 'outside');
    mkdirSync(outside);
    symlinkSync(outside, join(scene.card, 'fw'));
    await openTwo(scene, async (placement) => {
      const { plan } = await placement.look();
      expect(plan.steps).toEqual([]);
      expect(plan.problems.map(({ code, path }) => [code, path])).toEqual([
        ['not-a-folder', 'fw'],
        ['not-a-folder', 'fw'],
      ]);
    });
  });
});

describe('a source that changes', () => {
  it.each([
    [
      'to other bytes of the same size',
      (file: string) => writeFileSync(file, invented('x', 40_000)),
    ],
    ['to more bytes', (file: string) => appendFileSync(file, 'more')],
    ['to fewer bytes', (file: string) => writeFileSync(file, 'few')],
  ])('%s after the plan is not placed', async (_, change) => {
    const scene = twoFiles(tempFolder());
    await openTwo(scene, async (placement) => {
      const results = await outcomes(placement, () => change(join(scene.pile, 'a')));
      expect(results[0]?.[1]).toBe('failed');
      expect(results[0]?.[2]).toMatch(
        /^The source has (changed|grown) since the plan; run again\.$/,
      );
      expect(results[1]?.[1]).toBe('done');
    });
    expect([...readFiles(scene.card).keys()]).toEqual(['fw/b.bin']);
  });

  it('while it is copied is not placed', async () => {
    const scene = twoFiles(tempFolder());
    const change = (): void => appendFileSync(join(scene.pile, 'a'), 'more');
    await openTwo(
      scene,
      async (placement) => {
        const results = await outcomes(placement);
        expect(results[0]?.slice(1)).toEqual(['failed', 'It changed while it was read.']);
      },
      atFirstWrite(change),
    );
    expect([...readFiles(scene.card).keys()]).toEqual(['fw/b.bin']);
  });
});

it('what is read back wrongly is not placed', async () => {
  const scene = twoFiles(tempFolder());
  const rotten = (card: CardFs): CardFs => ({
    ...card,
    async *read(path) {
      for await (const chunk of card.read(path)) {
        const bad = Buffer.from(chunk);
        bad[0] = (bad[0] ?? 0) ^ 1;
        yield bad;
      }
    },
  });
  await openTwo(
    scene,
    async (placement) => {
      const results = await outcomes(placement);
      for (const [, outcome, message] of results) {
        expect(outcome).toBe('failed');
        expect(message).toContain('read back differs');
      }
    },
    rotten,
  );
  expect(readFiles(scene.card).size).toBe(0);
});

it('an interruption leaves nothing half-done', async () => {
  const scene = twoFiles(tempFolder());
  const controller = new AbortController();
  await openTwo(
    scene,
    async (placement) => {
      const { stopped, results } = await placement.apply({ signal: controller.signal });
      expect(stopped?.code).toBe('interrupted');
      expect(results.map(({ outcome }) => outcome)).toEqual(['not-done', 'not-done']);
    },
    atFirstWrite(() => controller.abort()),
  );
  expect(readFiles(scene.card).size).toBe(0);
});

it('a card that goes away ends the run', async () => {
  const root = tempFolder();
  const scene = twoFiles(root);
  await openTwo(
    scene,
    async (placement) => {
      const { stopped } = await placement.apply();
      expect(stopped?.code).toBe('card-gone');
    },
    atFirstWrite(() => renameSync(scene.card, join(root, 'pulled-out'))),
  );
});

it('only temporary files of its own are removed', async () => {
  const root = tempFolder();
  const scene = twoFiles(root);
  const own = 'fw/.firmtally-0123456789abcdef.part';
  const others = [
    '.firmtally-0123456789abcdef.part.bak',
    'fw/.firmtally-FEDCBA9876543210.part',
    'fw/.firmtally-0123.part',
    'games/.firmtally-0123456789abcdef.part',
  ];
  writeFiles(
    scene.card,
    [own, ...others].map((path) => [path, DUMPS.boot]),
  );
  await openTwo(scene, async (placement) => {
    const { leftovers } = await placement.apply();
    const text = `${own} is removed: a copy that was never put in place.`;
    expect(leftovers).toEqual([
      { leftover: { code: 'remove', text, path: own, to: null }, outcome: 'done', message: null },
    ]);
  });
  const there = [...readFiles(scene.card).keys()];
  expect(there.sort()).toEqual([...others, 'fw/a.bin', 'fw/b.bin'].sort());
});
