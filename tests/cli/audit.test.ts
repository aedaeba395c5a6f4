import { execFileSync, spawnSync } from 'node:child_process';
import {
  chmodSync,
  closeSync,
  existsSync,
  mkdirSync,
  openSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { schemaText, type Report } from '@firmtally/core';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { CLI, firmtally, type CliResult } from '../support/cli.js';
import { makeZip } from '../support/zip.js';
import { digestsOf } from '../support/memory-folder.js';
import { readTap } from '../support/read-tap.js';
import { tempFolder } from '../support/temp.js';

const validate = new Ajv2020({ allowUnionTypes: true }).compile(
  JSON.parse(schemaText('report')) as object,
);

const BOOT = Buffer.from('invented boot code');
const CHIP = Buffer.from('invented chip');

function dumpText(bytes: Uint8Array): string {
  const { crc32, md5, sha1 } = digestsOf(bytes, ['crc32', 'md5', 'sha1']);
  return `{size: ${String(bytes.length)}, crc32: '${crc32 ?? ''}', md5: '${md5 ?? ''}', sha1: '${sha1 ?? ''}'}`;
}

const MANIFEST = `firmtally: 1
title: Invented card
folder: fw
firmware:
  boot: {path: boot.bin, dumps: [${dumpText(BOOT)}]}
  chips: {path: chips.zip, members: [{path: k1.rom, dumps: [${dumpText(CHIP)}]}]}
  font: {path: font.bin}
systems:
  gull: {name: Gull, requires: [font]}
  osprey: {name: Osprey 8, requires: [boot], optional: [font]}
  kestrel: {name: Kestrel 16, requires: [boot, chips]}
loadouts:
  pocket: [osprey]
  other: {name: Other device, systems: [osprey, kestrel], folder: bios}
`;

/** A card on which osprey is ready, gull unproven, kestrel not ready. */
function card(): { root: string; manifest: string; folder: string } {
  const folder = tempFolder();
  const root = join(folder, 'card');
  mkdirSync(join(root, 'fw'), { recursive: true });
  writeFileSync(join(root, 'fw/boot.bin'), BOOT);
  writeFileSync(join(root, 'fw/font.bin'), 'font');
  const manifest = join(folder, 'tern.yaml');
  writeFileSync(manifest, MANIFEST);
  return { root, manifest, folder };
}

function reportOf(result: CliResult): Report {
  const report = JSON.parse(result.stdout) as Report;
  expect(validate(report), JSON.stringify(validate.errors)).toBe(true);
  return report;
}

/** Trouble is exit code 2, one or two lines, no stack trace, no result. */
function expectTrouble(result: CliResult, message: RegExp): void {
  expect(result).toMatchObject({ code: 2, stdout: '' });
  expect(result.stderr).toMatch(message);
  expect(result.stderr).not.toMatch(/\n\s+at /);
  expect(result.stderr.trimEnd().split('\n').length).toBeLessThanOrEqual(2);
}

describe('exit codes of audit', () => {
  it.each([
    ['something not ready', [], 1],
    ['all ready', ['--system', 'osprey'], 0],
    ['unproven', ['--system', 'osprey,gull'], 0],
    ['unproven, strict', ['--system', 'osprey', '--system', 'gull', '--strict'], 1],
    ['a loadout', ['--loadout', 'pocket'], 0],
    ['a loadout with another folder', ['--loadout', 'other'], 1],
  ])('%s', async (_, more, code) => {
    const { root, manifest } = card();
    const result = await firmtally(['audit', root, '-m', manifest, ...more]);
    expect(result).toMatchObject({ code, stderr: '' });
  });

  it('2 is trouble', async () => {
    const { root, manifest, folder } = card();
    const wrong = join(folder, 'wrong.json');
    writeFileSync(wrong, '{"plan": 1}');
    const bare = join(folder, 'bare.yaml');
    writeFileSync(bare, 'firmtally: 1\nfirmware:\n  boot: {path: a.bin}\n');
    const runs: [string[], RegExp][] = [
      [['audit', join(folder, 'nowhere'), '-m', manifest], /no such folder/],
      [['audit', manifest, '-m', manifest], /not a folder/],
      [['audit', root], /no manifest is named/],
      [['audit', root, '-m', join(folder, 'nowhere.yaml')], /nowhere\.yaml/],
      [['audit', root, '-m', manifest, '--system', 'osprye'], /Did you mean "osprey"/],
      [['audit', root, '-m', manifest, '--loadout', 'poket'], /Did you mean "pocket"/],
      [['audit', root, '-m', manifest, '--system', 'gull', '--loadout', 'pocket'], /exclude/],
      [['audit', root, '-m', manifest, '--system', ','], /--system/],
      [['audit', root, '-m', manifest, '--jobs', '0'], /--jobs "0"/],
      [['audit', root, '-m', manifest, '--jobs', '1.5'], /--jobs "1\.5"/],
      [['audit', root, '-m', manifest, '--format', 'pdf'], /pdf/],
      [['audit', root, '-m', manifest, '--since', join(folder, 'no.json')], /no such file/],
      [['audit', root, '-m', manifest, '--since', manifest], /not JSON/],
      [['audit', root, '-m', manifest, '--since', wrong], /this is a plan, not a report/],
      [['audit', root, '-m', manifest, '--since', folder], /not a( regular)? file/],
    ];
    for (const [args, message] of runs) expectTrouble(await firmtally(args), message);
    const nothing = await firmtally(['audit', root, '-m', bare, '-q']);
    expect(nothing).toMatchObject({ code: 2, stdout: '' });
    expect(nothing.stderr).toMatch(/no systems/);
  });
});

describe('firmtally audit', () => {
  it('shows the table, the summary last, and nothing on stderr', async () => {
    const { root, manifest } = card();
    const { stdout, stderr } = await firmtally(['audit', root, '-m', manifest]);
    expect(stderr).toBe('');
    expect(stdout).toMatch(
      /^Invented card: 1 of 3 systems is ready; 1 unproven, 1 not-ready\.\n\nSystem .*\n.*\nKestrel 16 +not-ready .*chips: missing\nGull +unproven .*\nOsprey 8 +ready /,
    );
    expect(stdout).toMatch(/\n1 of 3 systems is ready; 1 unproven, 1 not-ready\.\n$/);
    expect(stdout).not.toContain('\u001b');
  });

  it('judges a ZIP by its members, and the loadout\u2019s folder', async () => {
    const { root, manifest } = card();
    writeFileSync(
      join(root, 'fw/chips.zip'),
      makeZip([{ path: 'k1.rom', bytes: CHIP, deflate: true }]),
    );
    const ready = await firmtally(['audit', root, '-m', manifest, '--system', 'kestrel']);
    expect(ready.code).toBe(0);
    const other = reportOf(
      await firmtally(['audit', root, '-m', manifest, '--loadout', 'other', '--format', 'json']),
    );
    expect(other.selection).toEqual({
      systems: ['kestrel', 'osprey'],
      loadout: 'other',
      loadoutName: 'Other device',
    });
    expect(other.firmware.map((row) => [row.expectedPath, row.verdict, row.foundAt])).toEqual([
      ['bios/boot.bin', 'misplaced', 'fw/boot.bin'],
      ['bios/chips.zip', 'misplaced', 'fw/chips.zip'],
      ['bios/font.bin', 'misplaced', 'fw/font.bin'],
    ]);
  });

  it('writes the same JSON every time, valid under the schema', async () => {
    const { root, manifest } = card();
    const args = ['audit', root, '-m', manifest, '--format', 'json', '--strays'];
    const first = await firmtally(args);
    reportOf(first);
    expect((await firmtally([...args, '--jobs', '3'])).stdout).toBe(first.stdout);
  });

  it('merges manifests', async () => {
    const { root, manifest, folder } = card();
    const more = join(folder, 'more.yaml');
    writeFileSync(
      more,
      'firmtally: 1\nfirmware: {}\nsystems:\n  plover: {name: Plover, requires: [boot]}\n',
    );
    const args = ['audit', root, '-m', manifest, '-m', more, '--system', 'plover', '-q'];
    expect((await firmtally(args)).code).toBe(0);
  });

  it.each(['markdown', 'csv', 'tap', 'html'])('writes %s', async (format) => {
    const { root, manifest } = card();
    const { code, stdout, stderr } = await firmtally([
      'audit',
      root,
      '-m',
      manifest,
      '--format',
      format,
    ]);
    expect({ code, stderr }).toEqual({ code: 1, stderr: '' });
    expect(stdout).toContain('Kestrel 16');
    if (format === 'tap')
      expect(readTap(stdout).points.map((point) => point.ok)).toEqual([true, false, true]);
  });

  it('goes on after faults, and escapes what it shows', async () => {
    if (process.platform === 'win32') return; // FIFOs and such names are of POSIX
    const { root, manifest } = card();
    rmSync(join(root, 'fw/font.bin'));
    execFileSync('mkfifo', [join(root, 'fw/font.bin')]);
    rmSync(join(root, 'fw/boot.bin'));
    symlinkSync('/etc/passwd', join(root, 'fw/boot.bin'));
    writeFileSync(join(root, 'fw/\u001b[31m\nx'), 'a stray');
    const result = await firmtally(['audit', root, '-m', manifest, '--strays', '--format', 'json']);
    expect(result.code).toBe(1);
    // Each is a firmware's, of which the report says all there is to say.
    expect(result.stderr).toBe('');
    const report = reportOf(result);
    expect(report.faults.map(({ path, code }) => [path, code])).toEqual([
      ['fw/boot.bin', 'outside-root'],
      ['fw/font.bin', 'not-a-file'],
    ]);
    expect(report.strays).toEqual([{ path: 'fw/\u001b[31m\nx', size: 7 }]);
    const quiet = await firmtally(['audit', root, '-m', manifest, '--strays', '--quiet']);
    expect(quiet).toMatchObject({ code: 1, stderr: '' });
    expect(quiet.stdout).toContain('fw/\\x1b[31m\\nx');
    expect(quiet.stdout).not.toContain('\u001b');
  });

  it('shows on stderr what could not be read and is no firmware', async ({ skip }) => {
    skip(
      process.platform === 'win32' || process.getuid?.() === 0,
      'permissions do not bind this user',
    );
    const { root, manifest } = card();
    mkdirSync(join(root, 'private \u001b'), { mode: 0 });
    chmodSync(join(root, 'fw/boot.bin'), 0);
    const { stderr } = await firmtally(['audit', root, '-m', manifest]);
    expect(stderr).toMatch(/^firmtally: private \\x1b: [^\n]+\n$/);
  });

  it('an unreadable firmware makes its system not ready', async ({ skip }) => {
    skip(
      process.platform === 'win32' || process.getuid?.() === 0,
      'permissions do not bind this user',
    );
    const { root, manifest } = card();
    chmodSync(join(root, 'fw/boot.bin'), 0);
    const result = await firmtally(['audit', root, '-m', manifest, '--system', 'osprey']);
    expect(result.code).toBe(1);
    expect(result.stderr).toMatch(/boot\.bin: no permission/);
  });
});

describe('where audit writes', () => {
  it('a stderr that cannot be written costs neither the result nor its exit code', async ({
    skip,
  }) => {
    skip(!existsSync('/dev/full'), 'this system has no /dev/full');
    const { root, manifest } = card();
    // A warning of the manifest goes to stderr.
    writeFileSync(
      manifest,
      MANIFEST.replace('requires: [font]', 'requires: [boot]').replace(', optional: [font]', ''),
    );
    expect((await firmtally(['audit', root, '-m', manifest])).stderr).toContain('font');
    const full = openSync('/dev/full', 'w');
    try {
      const args = [CLI, 'audit', root, '-m', manifest, '--format', 'json'];
      const run = spawnSync(process.execPath, args, { stdio: ['ignore', 'pipe', full] });
      expect(run.status).toBe(1);
      expect(run.stdout.toString()).toContain('"report": 1');
    } finally {
      closeSync(full);
    }
  });

  it.each([
    ['by default not, as it is no terminal', [], {}, false],
    ['--color', ['--color'], {}, true],
    ['--color over NO_COLOR', ['--color'], { NO_COLOR: '1' }, true],
    ['--color with an empty NO_COLOR', ['--color'], { NO_COLOR: '' }, true],
    ['--no-color', ['--no-color'], { FORCE_COLOR: '1' }, false],
  ] as [string, string[], Record<string, string>, boolean][])(
    'colours: %s',
    async (_, more, env, isColoured) => {
      const { root, manifest } = card();
      const { stdout } = await firmtally(['audit', root, '-m', manifest, ...more], { env });
      expect(stdout.includes('\u001b[32m')).toBe(isColoured); // ECMA-48 SGR 32: green
    },
  );
});

describe('audit --since', () => {
  /** A card and its report, made at a time from which the file times are set. */
  async function withReport(): Promise<ReturnType<typeof card> & { before: string }> {
    const made = card();
    const before = join(made.folder, 'before.json');
    const past = new Date(Date.now() - 3_600_000);
    for (const name of ['boot.bin', 'font.bin'])
      utimesSync(join(made.root, 'fw', name), past, past);
    const { stdout } = await firmtally([
      'audit',
      made.root,
      '-m',
      made.manifest,
      '--format',
      'json',
      '-q',
    ]);
    writeFileSync(before, stdout);
    return { ...made, before };
  }

  it('says that nothing changed', async () => {
    const { root, manifest, before } = await withReport();
    const args = ['audit', root, '-m', manifest, '--since', before, '--system', 'osprey'];
    const { code, stdout } = await firmtally(args);
    expect(code).toBe(0);
    expect(stdout).toMatch(/Since the earlier report\n\n/);
    expect(stdout).toMatch(/unchanged: 2 firmware/);
  });

  it('finds bytes that changed though size and time did not, and exits with 1', async () => {
    const { root, manifest, before } = await withReport();
    const font = join(root, 'fw/font.bin');
    const { atime, mtime } = statSync(font);
    writeFileSync(font, 'fond');
    utimesSync(font, atime, mtime);
    const args = ['audit', root, '-m', manifest, '--since', before, '--system', 'osprey,gull'];
    const result = await firmtally([...args, '--format', 'json']);
    expect(result.code).toBe(1);
    expect(reportOf(result).since?.changedBytes).toEqual([
      { firmware: 'font', path: 'fw/font.bin', sizeBefore: 4, size: 4, silently: true },
    ]);
    const { stdout } = await firmtally(args);
    expect(stdout).toMatch(/changed silently: font \(fw\/font\.bin\)/);
    // It was right: it is no other revision, and no bad dump.
    expect(stdout).not.toMatch(/another revision|Dump it again/);
  });

  it('a file written a second after the report changed openly, at the same time silently', async () => {
    const { root, manifest, before } = await withReport();
    const font = join(root, 'fw/font.bin');
    writeFileSync(font, 'fond');
    const saved = new Date('2001-02-03T04:05:06Z');
    utimesSync(before, saved, saved);
    const args = ['audit', root, '-m', manifest, '--since', before, '--system', 'osprey'];
    for (const [ms, code] of [
      [1100, 0],
      [0, 1],
    ] as const) {
      const time = new Date(saved.getTime() + ms);
      utimesSync(font, time, time);
      const result = await firmtally([...args, '--format', 'tap']);
      expect(result.code).toBe(code);
      expect(result.stdout.includes('# changed silently: font')).toBe(code === 1);
    }
  });

  it('a file written later changed openly', async () => {
    const { root, manifest, before } = await withReport();
    writeFileSync(join(root, 'fw/font.bin'), 'fond');
    const later = new Date(Date.now() + 60_000);
    utimesSync(join(root, 'fw/font.bin'), later, later);
    rmSync(join(root, 'fw/boot.bin'));
    writeFileSync(join(root, 'fw/chips.zip'), makeZip([{ path: 'k1.rom', bytes: CHIP }]));
    const args = ['audit', root, '-m', manifest, '--since', before, '--format', 'json'];
    expect(reportOf(await firmtally(args)).since).toEqual({
      newlyWrong: [{ firmware: 'boot', before: 'match', now: 'missing' }],
      newlyRight: [{ firmware: 'chips', before: 'missing', now: 'match' }],
      otherwise: [],
      unchanged: 1,
      changedBytes: [
        { firmware: 'font', path: 'fw/font.bin', sizeBefore: 4, size: 4, silently: false },
      ],
      appeared: [],
      gone: [],
      systems: [{ system: 'osprey', before: 'ready', now: 'not-ready' }],
      advice: null,
    });
    expect(JSON.parse(readFileSync(before, 'utf8'))).not.toHaveProperty('since');
  });
});
