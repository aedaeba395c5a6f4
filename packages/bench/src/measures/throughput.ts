import { randomFillSync } from 'node:crypto';
import { mkdir, writeFile } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { hashWasmEngine, type Algorithm, type DigestEngine } from '@firmtally/core';
import { nodePlatform } from '@firmtally/host';
import { bestOf, CLI, hasProgram, seconds, timed, times } from '../run.js';
import type { MeasureInput, Row } from '../table.js';

const ALL: readonly Algorithm[] = ['crc32', 'md5', 'sha1', 'sha256'];
const MIB = 1024 * 1024;

const TOOLS = ['md5sum', 'sha1sum', 'crc32'];
const missing = TOOLS.filter((tool) => !hasProgram(tool));

/** Digests of a set of files, against three tools in turn and against the engines' own speed. */
export async function measureThroughput({ folder, quick }: MeasureInput): Promise<Row[]> {
  const root = join(folder, 'throughput');
  await mkdir(root);
  const fileSize = 8 * MIB;
  const count = quick ? 8 : 256;
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
  const runs = quick ? 2 : 4;
  const [three = 0, four = 0, tools = null] = await bestOf(runs, [
    digest(['crc32', 'md5', 'sha1']),
    digest(ALL),
    ...(missing.length === 0 ? [() => inTurn(paths)] : []),
  ]);
  const amount = `${total / MIB} MiB in ${count} files`;
  const rows = [
    againstTools(`CRC-32, MD5 and SHA-1 of ${amount}`, three, tools),
    againstTools('All four digests of the same files', four, tools),
  ];
  const cores = availableParallelism();
  for (const engine of [nodePlatform.engine, hashWasmEngine]) {
    const limit = (await engineTime(engine, bytes)) * (total / fileSize);
    rows.push({
      what: `All four, against the ${engine.name} engine alone on bytes in memory, spread over ${cores} cores`,
      measured: `${times(limit / cores / four)} of that limit (${seconds(limit / cores)})`,
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

function againstTools(what: string, ours: number, tools: number | null): Row {
  const bar = '≥ 3×';
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
    kept: tools / ours >= 3,
  };
}

/** ms one core needs for all four digests of the bytes; best of 5. */
async function engineTime(engine: DigestEngine, bytes: Uint8Array): Promise<number> {
  const [best = 0] = await bestOf(5, [
    async () => {
      const hasher = await engine.create(ALL);
      const started = performance.now();
      hasher.update(bytes);
      hasher.digest();
      return performance.now() - started;
    },
  ]);
  return best;
}
