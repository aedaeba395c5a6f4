import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { hashWasmEngine, type FirmwareRow, type Report } from '@firmtally/core';
import { nodePlatform, openFolder } from '@firmtally/host';
import { nativeEngine, zipReader } from '@firmtally/host/internal';
import { check } from './check.js';
import { digestsOf, makeContents } from './contents.js';
import { writeNoise, writeTree } from './disk-folder.js';
import { write } from './document.js';
import type { ManifestModel } from './expectation.js';
import { makeManifest } from './make-manifest.js';
import { makeTree } from './make-tree.js';
import { memoryFolder } from './memory-folder.js';
import { opinions, type Opinion } from './oracle.js';
import { Random } from './random.js';
import { readinessOf, satisfiedBy } from './readiness-oracle.js';
import { auditWith, readFaultless, type Audited } from './subject.js';
import type { Tree } from './tree.js';

/** A manifest and a tree in memory; every verdict must be the oracle's. */
export async function memoryTreeCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const contents = makeContents(random, 12);
  const { model, document } = makeManifest(random, contents);
  const tree = makeTree(random, model, contents);
  const wide = random.chance(0.2);
  const folder = memoryFolder(tree, random);
  const engine = random.pick([nativeEngine, hashWasmEngine]);
  const audited = await auditWith({
    manifest: await readFaultless(write(document, random.pick(['json', 'flow', 'block']), random)),
    folder,
    platform: { engine, archives: zipReader },
    wide,
    jobs: random.pick([1, 2, 4, 16]),
  });
  compare(audited, model, tree, wide);
}

/** The same on a real disk, through the host's walker, reader and digester. Linux only. */
export async function diskTreeCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const contents = makeContents(random, 8);
  const { model, document } = makeManifest(random, contents);
  const base = mkdtempSync(join(tmpdir(), 'firmtally-fuzz-'));
  const root = join(base, 'root');
  mkdirSync(root);
  mkdirSync(join(base, 'outside'));
  try {
    const tree = writeTree(makeTree(random, model, contents), root, join(base, 'outside'));
    writeNoise(random, root);
    const folder = await openFolder(root, { jobs: 1 });
    const wide = random.chance(0.2);
    const audited = await auditWith({
      manifest: await readFaultless(write(document, 'block', random)),
      folder,
      platform: nodePlatform,
      wide,
      jobs: 4,
    });
    await folder.close();
    compare(audited, model, tree, wide);
  } finally {
    rmSync(base, { recursive: true, force: true });
  }
}

function compare({ report }: Audited, model: ManifestModel, tree: Tree, wide: boolean): void {
  const expected = opinions(model, tree, wide);
  const verdicts = new Map(report.firmware.map((row) => [row.id, row.verdict]));
  check(verdicts.size === model.firmware.length, 'every entry has one row', report.firmware);
  for (const row of report.firmware) {
    const opinion = expected.get(row.id);
    check(opinion !== undefined, `unknown row ${row.id}`, row);
    compareRow(row, opinion, tree);
  }
  for (const system of model.systems) {
    const row = report.systems.find((one) => one.id === system.id);
    check(row !== undefined, `no row of system ${system.id}`, report.systems);
    const readiness = readinessOf(system, verdicts, tree, model.ignoreCase);
    check(row.readiness === readiness, `${system.id} is ${readiness}`, { row, system });
    const optional = system.optional.filter((id) => verdicts.get(id) === 'match').length;
    check(row.optional.match === optional, `${system.id}: ${optional} optional match`, row);
    system.requires.forEach((item, index) => {
      const shown = row.requires[index];
      if (typeof item === 'string' || shown === undefined || 'firmware' in shown) return;
      const by = satisfiedBy(item, verdicts);
      check(shown.satisfiedBy === by, `${system.id}: satisfied by ${by}`, shown);
    });
  }
  checkTotals(report);
}

function compareRow(row: FirmwareRow, opinion: Opinion, tree: Tree): void {
  const seen = { row, opinion, tree: [...tree.nodes.keys()] };
  check(row.expectedPath === opinion.expectedPath, 'expectedPath', seen);
  check(opinion.verdicts.includes(row.verdict), `verdict ${opinion.verdicts.join(' or ')}`, seen);
  if (opinion.foundAt !== undefined) check(row.foundAt === opinion.foundAt, 'foundAt', seen);
  if (opinion.dump !== undefined) check(row.dump === opinion.dump, 'dump', seen);
  if (row.digests === null) return;
  // Whatever file the digests are of, they are of one that is there.
  const shown = Object.entries(row.digests);
  const isOfAFile = [...tree.nodes.keys()].some((path) => {
    const bytes = tree.file(path)?.bytes;
    if (bytes === undefined || bytes.length !== row.size) return false;
    const digests = digestsOf(bytes);
    return shown.every(([name, hex]) => digests[name as 'md5'] === hex);
  });
  check(isOfAFile, 'digests of no file', seen);
}

function checkTotals(report: Report): void {
  for (const [verdict, count] of Object.entries(report.totals.firmware)) {
    const rows = report.firmware.filter((row) => row.verdict === verdict).length;
    check(rows === count, `total of ${verdict}`, report.totals);
  }
  for (const [readiness, count] of Object.entries(report.totals.systems)) {
    const rows = report.systems.filter((row) => row.readiness === readiness).length;
    check(rows === count, `total of ${readiness}`, report.totals);
  }
}
