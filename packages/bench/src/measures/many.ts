import { createHash } from 'node:crypto';
import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { bestOf, CLI, timed, times } from '../run.js';
import type { MeasureInput, Row } from '../table.js';

const PER_SYSTEM = 10;

/** Manifests with very many entries, against Node doing nothing. */
export async function measureMany({ folder, quick }: MeasureInput): Promise<Row[]> {
  const root = join(folder, 'many');
  const card = join(root, 'card');
  await mkdir(card, { recursive: true });
  await writeFile(join(card, 'other.bin'), 'x');
  const write = async (name: string, text: string): Promise<string> => {
    const path = join(root, name);
    await writeFile(path, text);
    return path;
  };
  const entries = await write('entries.yaml', manyEntries(30_000, PER_SYSTEM));
  const tenth = await write('tenth.yaml', manyEntries(3000, PER_SYSTEM));
  const systems = await write('systems.yaml', manyEntries(3000, 1));
  const [all = 0, fewer = 0, printed = 0, bare = 0] = await bestOf(quick ? 1 : 5, [
    () => timed(process.execPath, [CLI, 'validate', entries]),
    () => timed(process.execPath, [CLI, 'validate', tenth]),
    () => timed(process.execPath, [CLI, 'audit', card, '-m', systems], [1]),
    () => timed(process.execPath, ['-e', '0']),
  ]);
  const row = (what: string, ms: number, bar: number): Row => ({
    what: `${what}, against \`node -e 0\``,
    measured: `${times(ms / bare)} (${ms.toFixed(0)} ms against ${bare.toFixed(0)} ms)`,
    bar: `≤ ${String(bar)}×`,
    kept: ms / bare <= bar,
  });
  return [
    row('`validate` of a YAML manifest with 30,000 entries', all, 30),
    {
      what: 'The same with 3,000, against 30,000, both less `node -e 0`',
      measured: `${times((fewer - bare) / (all - bare))} (${fewer.toFixed(0)} ms)`,
      bar: '',
      kept: null,
    },
    row('`audit` that prints 3,000 systems, none ready', printed, 6),
  ];
}

/** Invented entries, each with a size and a CRC-32, `each` of them for one system. */
function manyEntries(count: number, each: number): string {
  const crc = (index: number): string =>
    createHash('sha1').update(String(index)).digest('hex').slice(0, 8);
  const ids = Array.from({ length: count }, (_, index) => `part-${String(index)}`);
  const firmware = ids.map(
    (id, index) =>
      `  ${id}:\n    path: ${id}.bin\n    dumps: [{ size: ${String(1024 + index)}, crc32: "${crc(index)}" }]\n`,
  );
  const systems = Array.from(
    { length: count / each },
    (_, index) =>
      `  system-${String(index)}:\n    requires: [${ids.slice(index * each, (index + 1) * each).join(', ')}]\n`,
  );
  return `firmtally: 1\nfirmware:\n${firmware.join('')}systems:\n${systems.join('')}`;
}
