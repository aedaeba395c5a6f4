/**
 * One run, every ratio in docs/measured.md:
 *
 *   pnpm run bench [--quick] [--write]
 *
 * `--quick` uses smaller inputs; `--write` writes the table into that page.
 * Times are the best of several runs, on whatever machine this is: the ratios
 * are what counts, the seconds are not comparable between machines.
 */
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { measureAgainstHashing } from './measures/against-hashing.js';
import { measureMany } from './measures/many.js';
import { measureMemory } from './measures/memory.js';
import { measureStartUp } from './measures/start-up.js';
import { measureThroughput } from './measures/throughput.js';
import { measureWalk } from './measures/walk.js';
import { renderTable, writeMeasured, type Row } from './table.js';

const quick = process.argv.includes('--quick');
const folder = await mkdtemp(join(tmpdir(), 'firmtally-bench-'));
const rows: Row[] = [];
try {
  for (const measure of [
    measureStartUp,
    measureMany,
    measureWalk,
    measureThroughput,
    measureAgainstHashing,
    measureMemory,
  ]) {
    for (const row of await measure({ folder, quick })) {
      console.error(`${row.what}: ${row.measured}`);
      rows.push(row);
    }
  }
} finally {
  await rm(folder, { recursive: true, force: true });
}
console.log(renderTable(rows));
if (process.argv.includes('--write')) await writeMeasured(rows);
if (rows.some((row) => row.kept === false)) process.exitCode = 1;
