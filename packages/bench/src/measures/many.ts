import { createHash } from 'node:crypto';
import { mkdir, writeFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { bestOf, CLI, CORE, timed, times } from '../run.js';
import type { MeasureInput, Row } from '../table.js';

const PER_SYSTEM = 10;

/** Its build for browsers, as in the command. */
const YAML = join(dirname(createRequire(CORE).resolve('yaml/package.json')), 'browser/index.js');

const YAML_ALONE = `
const [library, path] = process.argv.slice(1);
import(library).then(({ Composer, Parser }) => {
  const text = require('node:fs').readFileSync(path, 'utf8');
  const tokens = [...new Parser().parse(text)];
  [...new Composer({ schema: 'failsafe', uniqueKeys: false, prettyErrors: false }).compose(tokens)];
});`;

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
  const entries = manyEntries(30_000, PER_SYSTEM);
  const systems = manyEntries(3000, 1);
  const inYaml = await write('entries.yaml', yamlOf(entries));
  const inJson = await write('entries.json', jsonOf(entries));
  const tenth = await write('tenth.yaml', yamlOf(manyEntries(3000, PER_SYSTEM)));
  const printYaml = await write('systems.yaml', yamlOf(systems));
  const printJson = await write('systems.json', jsonOf(systems));
  const validate = (path: string) => () => timed(process.execPath, [CLI, 'validate', path]);
  const print = (path: string) => () =>
    timed(process.execPath, [CLI, 'audit', card, '-m', path], [1]);
  const [yaml = 0, library = 0, json = 0, fewer = 0, printed = 0, printedJson = 0, bare = 0] =
    await bestOf(quick ? 1 : 5, [
      validate(inYaml),
      () => timed(process.execPath, ['-e', YAML_ALONE, YAML, inYaml]),
      validate(inJson),
      validate(tenth),
      print(printYaml),
      print(printJson),
      () => timed(process.execPath, ['-e', '0']),
    ]);
  const row = (what: string, ms: number, bar: number): Row => ({
    what: `${what}, against \`node -e 0\``,
    measured: `${times(ms / bare)} (${ms.toFixed(0)} ms against ${bare.toFixed(0)} ms)`,
    bar: `≤ ${String(bar)}×`,
    kept: ms / bare <= bar,
  });
  return [
    row('`validate` of a YAML manifest with 30,000 entries', yaml, 30),
    {
      what: 'Of that, the yaml library alone: the text to its tree of nodes',
      measured: `${times(library / bare)} (${library.toFixed(0)} ms)`,
      bar: '',
      kept: null,
    },
    row('`validate` of the same as JSON', json, 30),
    {
      what: 'A YAML manifest with 3,000, against 30,000, both less `node -e 0`',
      measured: `${times((fewer - bare) / (yaml - bare))} (${fewer.toFixed(0)} ms)`,
      bar: '',
      kept: null,
    },
    row('`audit` that prints 3,000 systems of a YAML manifest, none ready', printed, 6),
    row('The same of a JSON manifest', printedJson, 6),
  ];
}

interface Entry {
  readonly id: string;
  readonly system: string;
  /** Bytes. */
  readonly size: number;
  readonly crc32: string;
}

/** Invented entries, each with a size and a CRC-32, `each` of them for one system. */
function manyEntries(count: number, each: number): Entry[] {
  return Array.from({ length: count }, (_, index) => ({
    id: `part-${String(index)}`,
    system: `system-${String(Math.floor(index / each))}`,
    size: 1024 + index,
    crc32: createHash('sha1').update(String(index)).digest('hex').slice(0, 8),
  }));
}

function idsBySystem(entries: readonly Entry[]): Map<string, string[]> {
  const systems = new Map<string, string[]>();
  for (const { id, system } of entries) systems.set(system, [...(systems.get(system) ?? []), id]);
  return systems;
}

function yamlOf(entries: readonly Entry[]): string {
  const firmware = entries.map(
    ({ id, size, crc32 }) =>
      `  ${id}:\n    path: ${id}.bin\n    dumps: [{ size: ${String(size)}, crc32: "${crc32}" }]\n`,
  );
  const systems = [...idsBySystem(entries)].map(
    ([system, ids]) => `  ${system}:\n    requires: [${ids.join(', ')}]\n`,
  );
  return `firmtally: 1\nfirmware:\n${firmware.join('')}systems:\n${systems.join('')}`;
}

function jsonOf(entries: readonly Entry[]): string {
  const firmware = entries.map(({ id, size, crc32 }) => [
    id,
    { path: `${id}.bin`, dumps: [{ size, crc32 }] },
  ]);
  const systems = [...idsBySystem(entries)].map(([id, requires]) => [id, { requires }]);
  return JSON.stringify({
    firmtally: 1,
    firmware: Object.fromEntries(firmware) as unknown,
    systems: Object.fromEntries(systems) as unknown,
  });
}
