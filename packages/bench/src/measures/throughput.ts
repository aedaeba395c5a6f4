import { randomFillSync } from 'node:crypto';
import { mkdir, writeFile } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { hashWasmEngine, type Algorithm, type DigestEngine } from '@firmtally/core';
import { nodePlatform } from '@firmtally/host';
import { bestOf, CLI, hasProgram, seconds, timed, times } from '../run.js';
import type { MeasureInput, Row } from '../table.js';

const THREE: readonly Algorithm[] = ['crc32', 'md5', 'sha1'];
const ALL: readonly Algorithm[] = ['crc32', 'md5', 'sha1', 'sha256'];
const MIB = 1024 * 1024;
/** So that every engine finds it in the core's own cache. */
const BLOCK = 128 * 1024;

const TOOLS = ['md5sum', 'sha1sum', 'crc32'];
const missing = TOOLS.filter((tool) => !hasProgram(tool));

/** Digests of a set of files, against three tools in turn and against the engines' own speed. */
export async function measureThroughput({ folder, quick }: MeasureInput): Promise<Row[]> {
  const root = join(folder, 'throughput');
  await mkdir(root);
  const fileSize = 16 * MIB;
  const count = quick ? 8 : 64;
  const paths: string[] = [];
  const bytes = new Uint8Array(fileSize);
  for (let index = 0; index < count; index++) {
    randomFillSync(bytes);
    const path = join(root, `f${index}.bin`);
    await writeFile(path, bytes);
    paths.push(path);
  }
  const total = fileSize * count;
  const digest =
    (algorithms: readonly Algorithm[]): (() => Promise<number>) =>
    () =>
      timed(process.execPath, [
        CLI,
        'digest',
        ...paths,
        '--quiet',
        '--format=json',
        `--algorithm=${algorithms.join(',')}`,
      ]);
  const cores = availableParallelism();
  const runs = quick ? 2 : 5;
  const [three = 0, four = 0, tools = null] = await bestOf(runs, [
    digest(THREE),
    digest(ALL),
    ...(missing.length === 0 ? [() => inTurn(paths)] : []),
  ]);
  const amount = `${total / MIB} MiB in ${count} files`;
  const rows = [
    againstTools(`CRC-32, MD5 and SHA-1 of ${amount}`, three, tools, 2.3),
    againstTools('All four digests of the same files', four, tools, null),
  ];
  const limitOf = async (engine: DigestEngine, algorithms: readonly Algorithm[]): Promise<number> =>
    ((await engineTime(engine, algorithms, bytes)) * (total / fileSize)) / cores;
  const limit = await limitOf(nodePlatform.engine, THREE);
  rows.push({
    what: `CRC-32, MD5 and SHA-1, against the native engines alone on bytes in memory, spread over ${String(cores)} cores`,
    measured: `${times(limit / three)} of that limit (${seconds(three)} against ${seconds(limit)})`,
    bar: '≥ 0.8×',
    kept: limit / three >= 0.8,
  });
  for (const engine of [nodePlatform.engine, hashWasmEngine]) {
    const ofAll = await limitOf(engine, ALL);
    rows.push({
      what: `All four, against the ${engine.name} engine likewise`,
      measured: `${times(ofAll / four)} of that limit (${seconds(ofAll)})`,
      bar: '',
      kept: null,
    });
  }
  return rows;
}

/** The three tools, one after another; ms. */
async function inTurn(paths: readonly string[]): Promise<number> {
  let sum = 0;
  for (const tool of TOOLS) sum += await timed(tool, paths);
  return sum;
}

function againstTools(
  what: string,
  ours: number,
  tools: number | null,
  atLeast: number | null,
): Row {
  const bar = atLeast === null ? '' : `≥ ${String(atLeast)}×`;
  const against = `${what}, against ${TOOLS.join(' + ')} in turn`;
  if (tools === null) {
    return {
      what: against,
      measured: `not measured: ${missing.join(', ')} missing`,
      bar,
      kept: null,
    };
  }
  return {
    what: against,
    measured: `${times(tools / ours)} as fast (${seconds(ours)} against ${seconds(tools)})`,
    bar,
    kept: atLeast === null ? null : tools / ours >= atLeast,
  };
}

/** ms one core needs for the digests of the bytes, cut as files are read; best of 5. */
async function engineTime(
  engine: DigestEngine,
  algorithms: readonly Algorithm[],
  bytes: Uint8Array,
): Promise<number> {
  const [best = 0] = await bestOf(5, [
    async () => {
      const hasher = await engine.create(algorithms);
      const started = performance.now();
      for (let start = 0; start < bytes.length; start += BLOCK) {
        hasher.update(bytes.subarray(start, start + BLOCK));
      }
      hasher.digest();
      return performance.now() - started;
    },
  ]);
  return best;
}
