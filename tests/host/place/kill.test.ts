import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { cpSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { CLI } from '../../support/cli.js';
import { fastFolder } from './fast-folder.js';
import {
  cardFiles,
  lost,
  makeScene,
  MANIFEST,
  manifestText,
  optionsFor,
  pileFiles,
  readFiles,
  withPlacement,
} from './scene.js';

/**
 * Some 35 s of processor time, on two cores half as long: most of it is the start of the command.
 * Windows takes its time to start a process, under Wine (tests/windows) several times that.
 */
const KILLS = process.platform === 'win32' ? 20 : 200;

/** Processes at the same time. */
const LANES = 2;

/** Numbers from 0 to 1 from a seed (xorshift32), so that the moments are spread alike in each run. */
function random(seed: number): () => number {
  let state = seed;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
}

/** A card is killed on up to five times in a row before it may recover. */
it(`survives kill -9 of the real command at ${KILLS} random moments`, async () => {
  const root = fastFolder();
  const first = makeScene(root);
  const manifest = join(root, 'manifest.json');
  writeFileSync(manifest, manifestText(MANIFEST));
  const run = (card: string, killAfter: number | null): Promise<number> =>
    place([first.pile, '--onto', card, '-m', manifest, '--repair', '--apply'], killAfter);

  const plain = join(root, 'plain');
  cpSync(first.card, plain, { recursive: true });
  const whole = await run(plain, null);
  const wanted = shown(readFiles(plain));

  let started = 0;
  let unfinished = 0;
  const lane = async (number: number): Promise<void> => {
    const next = random(20_260_806 + number);
    while (started < KILLS) {
      const card = join(root, `card-${number}`);
      rmSync(card, { recursive: true, force: true });
      cpSync(first.card, card, { recursive: true });
      const rounds = 1 + Math.floor(next() * 5);
      for (let round = 0; round < rounds && started < KILLS; round++) {
        started++;
        await run(card, whole * (0.2 + next()));
        const now = readFiles(card);
        expect(lost(cardFiles().values(), now.values())).toEqual([]);
        if (JSON.stringify(shown(now)) !== JSON.stringify(wanted)) unfinished++;
      }
      await withPlacement(optionsFor({ ...first, card }), (one) => one.apply());
      expect(shown(readFiles(card))).toEqual(wanted);
    }
  };
  await Promise.all(Array.from({ length: LANES }, (_, index) => lane(index)));

  expect(started).toBe(KILLS);
  // Otherwise the kills came after the work, and nothing were shown.
  expect(unfinished).toBeGreaterThan(0);
  for (const [path, bytes] of pileFiles()) {
    expect(readFileSync(join(first.pile, path)).equals(bytes), path).toBe(true);
  }
}, 240_000);

/** Ms from the cautions, which come before anything is looked at, to the end of the process. */
async function place(args: readonly string[], killAfter: number | null): Promise<number> {
  const child = spawn(process.execPath, [CLI, 'place', ...args], {
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  const closed = once(child, 'close');
  await once(child.stderr, 'data');
  child.stderr.resume();
  const start = performance.now();
  if (killAfter !== null) setTimeout(() => child.kill('SIGKILL'), killAfter);
  await closed;
  return performance.now() - start;
}

function shown(files: Map<string, Buffer>): [string, string][] {
  return [...files]
    .map(([path, bytes]): [string, string] => [path, bytes.toString('base64').slice(0, 40)])
    .sort();
}
