import { randomFillSync } from 'node:crypto';
import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { bestOf, CLI, seconds, timed, times } from '../run.js';
import type { MeasureInput, Row } from '../table.js';
import { entry, manifestOf } from './card.js';

const MB = 1_000_000;

/** What has to read all of some files, against hashing them. */
export async function measureAgainstHashing(input: MeasureInput): Promise<Row[]> {
  return [await planning(input), await blankFiles(input)];
}

/** `place` of a pile in which every file is wanted, onto an empty card. */
async function planning({ folder, quick }: MeasureInput): Promise<Row> {
  const pile = join(folder, 'pile');
  const card = join(folder, 'empty-card');
  await mkdir(pile);
  await mkdir(card);
  const entries: string[] = [];
  const paths: string[] = [];
  const count = quick ? 16 : 256;
  for (let index = 0; index < count; index++) {
    const bytes = randomFillSync(new Uint8Array(2 * MB + index));
    const path = join(pile, `unnamed ${String(index)}.dat`);
    await writeFile(path, bytes);
    paths.push(path);
    entries.push(entry(`part-${String(index)}`, `part-${String(index)}.bin`, bytes));
  }
  const manifest = join(folder, 'pile.yaml');
  await writeFile(manifest, manifestOf(entries));
  return against(
    `\`place\` plans for a pile of ${String(count)} files of 2 MB`,
    quick,
    () => timed(process.execPath, [CLI, 'place', pile, '--onto', card, '-m', manifest], [0, 1]),
    () => timed(process.execPath, [CLI, 'digest', '--algorithm=sha1', '--quiet', ...paths]),
  );
}

/** `audit` of files that are nothing but FF where firmware should be. */
async function blankFiles({ folder, quick }: MeasureInput): Promise<Row> {
  const card = join(folder, 'blank-card');
  await mkdir(card);
  const size = quick ? 20 * MB : 200 * MB;
  const entries: string[] = [];
  const paths: string[] = [];
  const wanted = Buffer.from('what should be there');
  for (let index = 0; index < 4; index++) {
    const name = `blank-${String(index)}.bin`;
    const path = join(card, name);
    await writeFile(path, Buffer.alloc(size, 0xff));
    paths.push(path);
    // Another size would say enough by itself.
    entries.push(
      entry(`blank-${String(index)}`, name, wanted).replace(/size: \d+/, `size: ${String(size)}`),
    );
  }
  const manifest = join(folder, 'blank.yaml');
  await writeFile(manifest, manifestOf(entries));
  return against(
    `\`audit\` of four blank files of ${String(size / MB)} MB`,
    quick,
    () => timed(process.execPath, [CLI, 'audit', card, '-m', manifest], [1]),
    () => timed(process.execPath, [CLI, 'digest', '--algorithm=sha1', '--quiet', ...paths]),
  );
}

async function against(
  what: string,
  quick: boolean,
  task: () => Promise<number>,
  hashing: () => Promise<number>,
): Promise<Row> {
  const [ours = 0, hashed = 0] = await bestOf(quick ? 1 : 4, [task, hashing]);
  return {
    what: `${what}, against \`digest\` of them (SHA-1)`,
    measured: `${times(ours / hashed)} (${seconds(ours)} against ${seconds(hashed)})`,
    bar: '≤ 1.3×',
    kept: ours / hashed <= 1.3,
  };
}
