import { truncateSync } from 'node:fs';
import { cp, mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { bestOf, CLI, hasProgram, seconds, timed, times } from '../run.js';
import type { MeasureInput, Row } from '../table.js';
import { demoCard, DEMO_MANIFEST } from './demo.js';

/** A card of 100,000 other files, 20 GB by size (sparse), against walking it with find. */
export async function measureWalk({ folder, quick }: MeasureInput): Promise<Row[]> {
  const what = 'Audit of a card with 100,000 other files, 20 GB, against `find -printf %s`';
  const bar = '≤ 2× find + start-up';
  if (!hasProgram('find')) return [{ what, measured: 'not measured: no find', bar, kept: null }];
  const root = join(folder, 'walk');
  await cp(await demoCard(), root, { recursive: true });
  const count = quick ? 10_000 : 100_000;
  const perFolder = 500;
  for (let from = 0; from < count; from += perFolder) {
    const games = join(root, `games/set-${from / perFolder}`);
    await mkdir(games, { recursive: true });
    await Promise.all(
      Array.from({ length: perFolder }, async (_, index) => {
        const path = join(games, `game ${from + index}.gam`);
        await writeFile(path, '');
        truncateSync(path, 200_000 + ((from + index) % 1000));
      }),
    );
  }
  const audit = (card: string): Promise<number> =>
    timed(process.execPath, [CLI, 'audit', card, '-m', DEMO_MANIFEST, '--quiet'], [1]);
  const small = await demoCard();
  const [ours = 0, find = 0, start = 0] = await bestOf(quick ? 2 : 5, [
    () => audit(root),
    () => timed('find', [root, '-printf', '%s %p\\n']),
    () => audit(small),
  ]);
  return [
    {
      what: quick ? `${what} (10,000 files only)` : what,
      measured: `${times(ours / find)} (${seconds(ours)} against ${seconds(find)}; the demo card alone takes ${seconds(start)})`,
      bar,
      kept: ours <= 2 * find + start,
    },
  ];
}
