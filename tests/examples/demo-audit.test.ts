import { spawnSync } from 'node:child_process';
import { cpSync, rmdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { DIAGNOSES, READINESS, VERDICTS, type Report } from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import { generate } from '../../examples/demo/generate.mjs';
import { firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

const workspace = (path: string): string =>
  fileURLToPath(new URL(`../../${path}`, import.meta.url));
const MAIN = ['-m', workspace('examples/demo/manifest.yaml')];
const BOTH = [...MAIN, '-m', workspace('examples/demo/turnstone.yaml')];

async function audit(args: readonly string[], exit: number): Promise<Report> {
  const { code, stdout, stderr } = await firmtally(['audit', ...args, '--format', 'json']);
  expect(code, stderr).toBe(exit);
  return JSON.parse(stdout) as Report;
}

function readinessOf(report: Report): Record<string, string> {
  return Object.fromEntries(report.systems.map(({ id, readiness }) => [id, readiness]));
}

describe('the demo card', () => {
  it('shows every verdict, every readiness and every diagnosis', async () => {
    const demo = tempFolder();
    generate(demo);
    const report = await audit([join(demo, 'card'), ...BOTH], 1);
    const seen = <T>(values: readonly T[]): T[] => [...new Set(values)].sort();
    expect(seen(report.firmware.map(({ verdict }) => verdict))).toEqual([...VERDICTS].sort());
    expect(seen(report.systems.map(({ readiness }) => readiness))).toEqual([...READINESS].sort());
    expect(
      seen(report.firmware.map(({ diagnosis }) => diagnosis).filter((name) => name !== null)),
    ).toEqual([...DIAGNOSES].sort());
  });

  it('is judged as the generator meant it', async () => {
    const demo = tempFolder();
    generate(demo);
    const report = await audit([join(demo, 'card'), ...BOTH], 1);
    // What folders.mjs did to each file, by hand.
    expect(
      Object.fromEntries(
        report.firmware.map(({ id, verdict, diagnosis }) => [id, diagnosis ?? verdict]),
      ),
    ).toEqual({
      'avocet-boot': 'missing',
      'avocet-font': 'list-slip',
      'avocet-sound': 'unknown',
      'dunlin-boot': 'truncated',
      'dunlin-font': 'padded',
      'godwit-core': 'byte-swapped',
      'godwit-sound': 'word-swapped',
      'kestrel-chips': 'match',
      'lapwing-main': 'wrapped',
      'lapwing-sound': 'other-firmware',
      'nuthatch-boot': 'web-page',
      'nuthatch-clock': 'blank',
      'nuthatch-link': 'empty',
      'osprey-boot': 'match',
      'osprey-east': 'missing',
      'osprey-splash': 'missing',
      'osprey-west': 'match',
      'pipit-bios': 'unverified',
      'plover-boot': 'misplaced',
      'redshank-glyphs': 'halves-interleaved',
      'redshank-keys': 'text-mangled',
      'redshank-monitor': 'doubled',
      'siskin-boot': 'miscased',
      'turnstone-boot': 'match',
      'whimbrel-bios': 'unreadable',
      'whimbrel-drive': 'extra-header',
    });
  });

  it('shows every verdict and readiness in the table of the demo run', async () => {
    const demo = tempFolder();
    generate(demo);
    const report = await audit([join(demo, 'card'), ...MAIN, '--loadout', 'pocket'], 1);
    for (const verdict of VERDICTS)
      expect(report.totals.firmware[verdict], verdict).toBeGreaterThan(0);
    for (const state of READINESS) expect(report.totals.systems[state], state).toBeGreaterThan(0);
    expect(report.systems.length).toBeGreaterThanOrEqual(8);
  });

  it('is made ready from the pile, but for what only a person can do', async () => {
    const demo = tempFolder();
    generate(demo);
    const card = join(demo, 'card');
    rmdirSync(join(card, 'system/firmware/whimbrel_bios.bin'));
    const place = ['place', join(demo, 'pile'), '--onto', card, '--repair', '--apply'];
    const placed = await firmtally([...place, ...BOTH]);
    expect(placed.code, placed.stderr).toBe(1);
    const states = readinessOf(await audit([card, ...BOTH], 1));
    const { lapwing, pipit, ...others } = states;
    expect(lapwing).toBe('not-ready'); // its games are still to be copied
    expect(pipit).toBe('unproven'); // nobody published a digest
    expect(new Set(Object.values(others))).toEqual(new Set(['ready']));
  });
});

describe('the desk card', () => {
  it('keeps its firmware in the folder of its loadout', async () => {
    const demo = tempFolder();
    generate(demo);
    const report = await audit([join(demo, 'desk-card'), ...MAIN, '--loadout', 'desk'], 1);
    expect(readinessOf(report)).toEqual({
      bittern: 'not-ready', // no games of it on this card
      kestrel: 'ready',
      lapwing: 'not-ready', // an empty games folder
      osprey: 'ready',
      redshank: 'ready',
    });
    expect(report.firmware.every(({ expectedPath }) => expectedPath.startsWith('bios/'))).toBe(
      true,
    );
    // Another revision and another region than on the travel card.
    expect(report.firmware.find(({ id }) => id === 'osprey-boot')?.dump).toBe('revision A');
    expect(report.systems.find(({ id }) => id === 'osprey')?.optional).toEqual({
      match: 1,
      total: 1,
    });
  });
});

describe('pnpm run demo', () => {
  /** The demo script beside a built command, away from the workspace's own `.demo`. */
  function copyOf(parts: readonly string[]): string {
    const folder = tempFolder();
    for (const part of parts) cpSync(workspace(part), join(folder, part), { recursive: true });
    return join(folder, 'examples/demo/run.mjs');
  }

  it('prints the table and ends well', () => {
    const script = copyOf(['examples/demo', 'packages/cli/dist/bundle']);
    const { status, stdout, stderr } = spawnSync(process.execPath, [script], { encoding: 'utf8' });
    expect(status, stderr).toBe(0);
    expect(stdout).toContain('Osprey 8');
    expect(stdout).toContain('Exit code 1, as expected');
  });

  it('says what to do when nothing is built', () => {
    const script = copyOf(['examples/demo']);
    const { status, stderr } = spawnSync(process.execPath, [script], { encoding: 'utf8' });
    expect(status).toBe(2);
    expect(stderr).toBe('demo: nothing is built yet; run: pnpm run demo\n');
  });
});
