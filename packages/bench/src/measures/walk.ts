import { truncateSync } from 'node:fs';
import { cp, mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { bestOf, CLI, hasProgram, seconds, timed, times } from '../run.js';
import type { MeasureInput, Row } from '../table.js';
import { entry, manifestOf, oneFileCard } from './card.js';

/** Every name and size, and nothing done with them. */
const LOOK_UP_ALL = `
const { lstatSync, readdirSync } = require('node:fs');
const folders = [process.argv[1]];
for (const folder of folders) {
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const path = folder + '/' + entry.name;
    if (entry.isDirectory()) folders.push(path);
    else lstatSync(path);
  }
}`;

/** A card of 100,000 other files, 20 GB by size (sparse), against walking it with find. */
export async function measureWalk({ folder, quick }: MeasureInput): Promise<Row[]> {
  const count = quick ? 10_000 : 100_000;
  const what = `\`audit\` of a card with ${count.toLocaleString('en')} other files, less that of a card of one, against \`find -printf %s\``;
  const ready = { what: `${what}: all ready`, bar: '≤ 1×' };
  const lacking = { what: `${what}: one entry missing`, bar: '≤ 2×' };
  if (!hasProgram('find')) {
    const nothing = { measured: 'not measured: no find', kept: null };
    return [
      { ...ready, ...nothing },
      { ...lacking, ...nothing },
    ];
  }
  const small = await oneFileCard(join(folder, 'walk-one'));
  const root = join(folder, 'walk');
  await cp(small.card, root, { recursive: true });
  const perFolder = 500;
  for (let from = 0; from < count; from += perFolder) {
    const games = join(root, `games/set-${String(from / perFolder)}`);
    await mkdir(games, { recursive: true });
    await Promise.all(
      Array.from({ length: perFolder }, async (_, index) => {
        const path = join(games, `game ${String(from + index)}.gam`);
        await writeFile(path, '');
        truncateSync(path, 200_000 + ((from + index) % 1000));
      }),
    );
  }
  const missing = join(folder, 'missing.yaml');
  const boot = entry('boot', 'boot.bin', Buffer.from('one invented file'));
  const gone = entry('gone', 'gone.bin', Buffer.from('another that is not there'));
  await writeFile(missing, manifestOf([boot, gone]));
  const audit = (card: string, manifest: string, code: number): Promise<number> =>
    timed(process.execPath, [CLI, 'audit', card, '-m', manifest, '--quiet'], [code]);
  const [all = 0, one = 0, find = 0, start = 0, lookUps = 0, bare = 0] = await bestOf(
    quick ? 2 : 7,
    [
      () => audit(root, small.manifest, 0),
      () => audit(root, missing, 1),
      () => timed('find', [root, '-printf', '%s\\n']),
      () => audit(small.card, small.manifest, 0),
      () => timed(process.execPath, ['-e', LOOK_UP_ALL, root]),
      () => timed(process.execPath, ['-e', '0']),
    ],
  );
  const row = (about: { what: string; bar: string }, ms: number, bar: number): Row => ({
    ...about,
    measured: `${times((ms - start) / find)} (${seconds(ms - start)} against ${seconds(find)}; start-up ${seconds(start)})`,
    kept: ms - start <= bar * find,
  });
  return [
    row(ready, all, 1),
    row(lacking, one, 2),
    {
      what: "What Node's `readdir` and `lstat` of each alone take of that, less `node -e 0`",
      measured: `${times((lookUps - bare) / find)} (${seconds(lookUps - bare)})`,
      bar: '',
      kept: null,
    },
  ];
}
