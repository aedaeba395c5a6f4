import { randomFillSync } from 'node:crypto';
import { mkdir, writeFile } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { hashWasmEngine, type Algorithm, type DigestEngine } from '@firmtally/core';
import { nativeEngine } from '@firmtally/host';
import { bestOf, CLI, hasProgram, seconds, timed, times } from '../run.js';
import type { MeasureInput, Row } from '../table.js';

const ALL: readonly Algorithm[] = ['crc32', 'md5', 'sha1', 'sha256'];
const MIB = 1024 * 1024;

/** All four digests of a set of files, against three tools in turn and against the engines' own speed. */
export async function measureThroughput({ folder, quick }: MeasureInput): Promise<Row[]> {
  const root = join(folder, 'throughput');
  await mkdir(root);
  const fileSize = 8 * MIB;
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
  const digest = (): Promise<number> =>
    timed(process.execPath, [
      CLI,
      'digest',
      ...paths,
      '--quiet',
      '--format=json',
      `--algorithm=${ALL.join(',')}`,
    ]);
  const rows: Row[] = [];
  const runs = quick ? 2 : 5;

  const tools = ['md5sum', 'sha1sum', 'crc32'];
  const missing = tools.filter((tool) => !hasProgram(tool));
  if (missing.length === 0) {
    const [ours = 0, theirs = 0] = await bestOf(runs, [
      digest,
      async () => {
        let sum = 0;
        for (const tool of tools) sum += await timed(tool, paths);
        return sum;
      },
    ]);
    rows.push({
      what: `Four digests of ${total / MIB} MiB in ${count} files, against md5sum + sha1sum + crc32 in turn`,
      measured: `${times(theirs / ours)} as fast (${seconds(ours)} against ${seconds(theirs)})`,
      bar: '≥ 3×',
      kept: theirs / ours >= 3,
    });
  } else {
    rows.push({
      what: 'Four digests against md5sum + sha1sum + crc32 in turn',
      measured: `not measured: ${missing.join(', ')} not installed`,
      bar: '≥ 3×',
      kept: null,
    });
  }

  const [ours = 0] = await bestOf(runs, [digest]);
  const cores = availableParallelism();
  for (const engine of [nativeEngine, hashWasmEngine]) {
    const limit = (await engineTime(engine, bytes)) * (total / fileSize);
    rows.push({
      what: `The same, against the ${engine.name} engine alone on bytes in memory, spread over ${cores} cores`,
      measured: `${times(limit / cores / ours)} of that limit (${seconds(limit / cores)})`,
      bar: '',
      kept: null,
    });
  }
  return rows;
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
