/** Runs tests/vectors/scenarios through every surface; README.md there describes the files. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { audit, DIAGNOSES, renderReport, VERDICTS, viewOf, type Report } from '@firmtally/core';
import { auditFolder } from '@firmtally/host';
import { describe, expect, it } from 'vitest';
import { FORMATS } from '../../packages/cli/src/audit/options.js';
import { renderTable } from '../../packages/cli/src/audit/render-table.js';
import { firmtally } from '../support/cli.js';
import { MemoryFolder, PLATFORM } from '../support/memory-folder.js';
import { readCsv } from '../support/read-csv.js';
import { readTap } from '../support/read-tap.js';
import { tempFolder } from '../support/temp.js';
import { details, observed, wanted } from '../support/vectors/compare.js';
import {
  cannotHold,
  loadVectors,
  manifestText,
  memoryTree,
  rootOf,
  writeTree,
  type Vector,
} from '../support/vectors/vector.js';

const VECTORS = loadVectors();
const NAMED = VECTORS.map((vector, index) => [vector.name, vector, index] as const);
const MANIFEST = 'invented.json';

async function inMemory(vector: Vector): Promise<Report> {
  return audit(new MemoryFolder(memoryTree(vector)), {
    root: rootOf(vector),
    rootPath: `/${rootOf(vector)}`,
    manifests: [{ path: MANIFEST, bytes: Buffer.from(manifestText(vector)) }],
    platform: PLATFORM,
    ...vector.options,
  });
}

/** A folder of this machine with the manifest and, below it, the root. */
function onDisk(vector: Vector): string {
  const cwd = tempFolder();
  const root = join(cwd, ...rootOf(vector).split('/'));
  mkdirSync(root, { recursive: true });
  writeFileSync(join(cwd, MANIFEST), manifestText(vector));
  writeTree(vector, root);
  return cwd;
}

describe('the core in memory', () => {
  it.each(NAMED)('%s', async (_, vector) => {
    const report = await inMemory(vector);
    expect(observed(report)).toEqual(wanted(vector, report));
    for (const [found, due] of details(vector, report)) expect(found).toEqual(due);
    for (const format of FORMATS) SAYS[format]?.(written(report, format), report);
  });
});

describe('the host on disk gives the same report', () => {
  it.each(NAMED)('%s', async (_, vector) => {
    const cannot = cannotHold(vector);
    if (cannot !== null) return;
    const cwd = onDisk(vector);
    const options = { manifests: [MANIFEST], cwd, ...vector.options };
    expect(await auditFolder(rootOf(vector), options)).toEqual(await inMemory(vector));
  });
});

// All formats were held to the report above; here a process prints one of them for each scenario, in turn.
describe('the command prints the same report', () => {
  it.each(NAMED)('%s', async (_, vector, index) => {
    if (cannotHold(vector) !== null) return;
    const format = FORMATS[index % FORMATS.length] ?? 'json';
    const { loadout, systems, wide, strict, strays } = vector.options ?? {};
    const args = [
      ...['audit', rootOf(vector), '-m', MANIFEST, '--format', format],
      ...(loadout === undefined ? [] : ['--loadout', loadout]),
      ...(systems === undefined ? [] : ['--system', systems.join(',')]),
      ...(wide === true ? ['--wide'] : []),
      ...(strict === true ? ['--strict'] : []),
      ...(strays === true ? ['--strays'] : []),
    ];
    const { code, stdout } = await firmtally(args, { cwd: onDisk(vector) });
    const report = await inMemory(vector);
    expect(code).toBe(report.totals.systems['not-ready'] > 0 ? 1 : 0);
    // The table also says what to do next, which only the command knows.
    if (format === 'table') SAYS.table?.(stdout, report);
    else expect(stdout).toBe(renderReport(report, format));
  });
});

/** What each format says is what the report says. A new format has no test here until it is given one, and fails. */
const SAYS: Readonly<Record<string, (text: string, report: Report) => void>> = {
  table: (text, report) => {
    const plain = text.replaceAll(/\s+/g, ' ').trim();
    const { headline, summary } = viewOf(report);
    expect(plain.startsWith(headline)).toBe(true);
    expect(plain.endsWith(summary)).toBe(true);
    saysWhatToGet(plain, report);
  },
  json: (text, report) => expect(JSON.parse(text)).toEqual(JSON.parse(JSON.stringify(report))),
  csv: (text, report) => {
    const [head = [], ...records] = readCsv(text);
    const ids = new Set(records.map((record) => record[head.indexOf('firmware')]));
    const inSystems = report.firmware.filter(({ systems }) => systems.length > 0);
    for (const { id } of inSystems) expect(ids).toContain(id);
    for (const record of records) {
      const field = (name: string): string => record[head.indexOf(name)] ?? '';
      const row = report.firmware.find(({ id }) => id === field('firmware'));
      for (const name of ['verdict', 'expectedPath', 'foundAt', 'judged', 'diagnosis'] as const) {
        expect(field(name)).toBe(row?.[name] ?? '');
      }
      expect(field('size')).toBe(String(row?.size ?? ''));
      expect(field('md5')).toBe(row?.digests?.md5 ?? '');
    }
  },
  tap: (text, report) => {
    const { points } = readTap(text);
    expect(points.map(({ ok }) => ok)).toEqual(
      report.systems.map(({ readiness }) => readiness !== 'not-ready'),
    );
    expect(text).toContain(viewOf(report).summary);
  },
  html: (text, report) => {
    const plain = text.replaceAll(/<wbr>|<[^>]*>/g, '').replaceAll('&#39;', "'");
    expect(plain).toContain(viewOf(report).summary);
    saysWhatToGet(plain, report);
  },
  markdown: (text, report) => {
    expect(text).toContain(viewOf(report).summary);
    saysWhatToGet(text.replaceAll('\\', ''), report);
  },
};

function saysWhatToGet(text: string, report: Report): void {
  const paths = viewOf(report).toGet.flatMap(({ files }) => files.map(({ path }) => path));
  for (const path of paths) expect(text).toContain(path);
}

/** As the command writes it. */
function written(report: Report, format: (typeof FORMATS)[number]): string {
  if (format !== 'table') return renderReport(report, format);
  const style = { columns: 80, ascii: false, detail: false, brief: false, next: null };
  return renderTable(viewOf(report), { ...style, paint: (_, text) => text });
}

it('every format of the command is held to the report', () => {
  expect(Object.keys(SAYS).sort()).toEqual([...FORMATS].sort());
});

describe('the scenarios', () => {
  it('show every verdict, every diagnosis and every hint', () => {
    const rows = VECTORS.flatMap(({ expect: due }) => Object.values(due.firmware));
    const verdicts = new Set(rows.map((row) => (typeof row === 'string' ? row : row.verdict)));
    expect(verdicts).toEqual(new Set(VERDICTS));
    const kinds = rows.flatMap((row) => (typeof row === 'string' ? [] : (row.diagnosis ?? [])));
    expect(new Set(kinds)).toEqual(new Set(DIAGNOSES));
    const hints = VECTORS.flatMap(({ expect: due }) => due.hints ?? []).map(({ code }) => code);
    expect(new Set(hints)).toEqual(
      new Set(['empty-root', 'root-too-deep', 'root-too-high', 'other-loadout']),
    );
    expect(VECTORS.length).toBeGreaterThanOrEqual(60);
  });
});
