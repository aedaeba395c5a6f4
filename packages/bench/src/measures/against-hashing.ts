import { randomFillSync } from 'node:crypto';
import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Algorithm } from '@firmtally/core';
import { bestOf, CLI, seconds, timed, times } from '../run.js';
import type { MeasureInput, Row } from '../table.js';
import { entry, manifestOf } from './card.js';

const MB = 1_000_000;
const THREE: readonly Algorithm[] = ['crc32', 'md5', 'sha1'];

/** What has to read all of some files, against taking the same digests of them. */
export async function measureAgainstHashing(input: MeasureInput): Promise<Row[]> {
  return [...(await planning(input)), await blankFiles(input)];
}

/** `place` of a pile in which every file is wanted, onto an empty card; by one digest, and by three. */
async function planning({ folder, quick }: MeasureInput): Promise<Row[]> {
  const pile = join(folder, 'pile');
  const card = join(folder, 'empty-card');
  await mkdir(pile);
  await mkdir(card);
  const bySha1: string[] = [];
  const byThree: string[] = [];
  const paths: string[] = [];
  const count = quick ? 16 : 256;
  for (let index = 0; index < count; index++) {
    const bytes = randomFillSync(new Uint8Array(2 * MB + index));
    const path = join(pile, `unnamed ${String(index)}.dat`);
    await writeFile(path, bytes);
    paths.push(path);
    const names = [`part-${String(index)}`, `part-${String(index)}.bin`] as const;
    bySha1.push(entry(...names, bytes, ['sha1']));
    byThree.push(entry(...names, bytes, THREE));
  }
  const rows: Row[] = [];
  for (const [algorithms, entries] of [
    [['sha1'], bySha1],
    [THREE, byThree],
  ] as const) {
    const manifest = join(folder, `pile-${String(algorithms.length)}.yaml`);
    await writeFile(manifest, manifestOf(entries));
    const place = ['place', pile, '--onto', card, '-m', manifest];
    rows.push(
      await against(
        `\`place\` plans for a pile of ${String(count)} files of 2 MB`,
        { quick, algorithms, paths },
        () => timed(process.execPath, [CLI, ...place], [0, 1]),
      ),
    );
  }
  return rows;
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
    // What an audit takes of every file at its place, whatever the manifest gives.
    { quick, algorithms: THREE, paths },
    () => timed(process.execPath, [CLI, 'audit', card, '-m', manifest], [1]),
  );
}

interface Hashing {
  readonly quick: boolean;
  readonly algorithms: readonly Algorithm[];
  readonly paths: readonly string[];
}

async function against(
  what: string,
  { quick, algorithms, paths }: Hashing,
  task: () => Promise<number>,
): Promise<Row> {
  const digest = ['digest', `--algorithm=${algorithms.join(',')}`, '--quiet', ...paths];
  const [ours = 0, hashed = 0] = await bestOf(quick ? 1 : 4, [
    task,
    () => timed(process.execPath, [CLI, ...digest]),
  ]);
  const names = algorithms.map((each) => each.toUpperCase()).join(', ');
  return {
    what: `${what}, against \`digest\` of them (${names})`,
    measured: `${times(ours / hashed)} (${seconds(ours)} against ${seconds(hashed)})`,
    bar: '≤ 1.3×',
    kept: ours / hashed <= 1.3,
  };
}
