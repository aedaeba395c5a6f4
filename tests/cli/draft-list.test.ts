/** `draft --list`, `--into` and ZIPs by the real command. All data is invented. */
import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { digestsOf, noise } from '../core/diagnose/support.js';
import { firmtally, type CliResult } from '../support/cli.js';
import { makeZip } from '../support/zip.js';
import { tempFolder } from '../support/temp.js';

const east = noise(16384, 1);
const west = noise(16384, 2);
const font = noise(4096, 3);
const md5 = (bytes: Uint8Array): string => digestsOf(bytes, ['md5']).md5 ?? '';
const ALL = ['crc32', 'md5', 'sha1', 'sha256'] as const;

/** A card whose files the lists of these tests are about. */
function card(): string {
  const cwd = tempFolder();
  mkdirSync(join(cwd, 'card/system/firmware'), { recursive: true });
  writeFileSync(join(cwd, 'card/system/firmware/osprey_boot.bin'), west);
  writeFileSync(join(cwd, 'card/system/firmware/font.bin'), font);
  return cwd;
}

const POSTED = `These are the ones that work:

| Console | File | Revision | Region | Size | MD5 | Needed |
|---|---|---|---|--:|---|---|
| Osprey 8 | osprey_boot.bin | A | East | 16,384 | \`${md5(east)}\` | yes |
| Osprey 8 | osprey_boot.bin | B | West | 16 KB | \`${md5(west)}\` | yes |
| Osprey 8 | font.bin | | | 4096 | ${md5(font)} | optional |
| Osprey 8 | lost.bin | | | 4096 | ${md5(font).slice(1)} | yes |
`;

async function verdicts(cwd: string, manifest: string): Promise<object> {
  const audited = await firmtally(['audit', 'card', '-m', manifest, '--format', 'json'], { cwd });
  const report = JSON.parse(audited.stdout) as { firmware: { id: string; verdict: string }[] };
  return Object.fromEntries(report.firmware.map(({ id, verdict }) => [id, verdict]));
}

/** The lines of stderr. */
function said({ stderr }: CliResult): string[] {
  return stderr.trimEnd().split('\n');
}

describe('firmtally draft --list', () => {
  it('makes of a posted table a manifest that finds the files', async () => {
    const cwd = card();
    writeFileSync(join(cwd, 'posted.md'), POSTED);
    const args = ['draft', '--list', 'posted.md', '--folder', 'system/firmware'];
    const drafted = await firmtally(args, { cwd });
    expect(drafted.code).toBe(1);
    expect(said(drafted)).toEqual([
      'firmtally: drafted from posted.md: 2 files (1 optional), 3 dumps in all, 1 system; 2 lines not used, 1 note, see below',
      'These are the list’s words: no file was read.',
      'Next: check ids, systems and folder, then: firmtally audit ROOT -m FILE',
      'posted.md:1: not used: There is no checksum in it. In: These are the ones that work:',
      expect.stringMatching(
        /^posted\.md:8: not used: The MD5 has 31 hex digits, not 32\. In: \| Osprey 8 \| lost/,
      ),
      'posted.md:6: note: The size "16 KB" is rounded, so it is left out.',
    ]);
    expect(parse(drafted.stdout)).toEqual({
      firmtally: 1,
      title: 'Draft of posted.md: check before use',
      folder: 'system/firmware',
      firmware: {
        'osprey-boot': {
          path: 'osprey_boot.bin',
          dumps: [
            { label: 'A, East', size: 16384, md5: md5(east) },
            { label: 'B, West', md5: md5(west) },
          ],
        },
        font: { path: 'font.bin', dumps: [{ size: 4096, md5: md5(font) }] },
      },
      systems: {
        'osprey-8': { name: 'Osprey 8', requires: ['osprey-boot'], optional: ['font'] },
      },
    });
    expect(drafted.stdout).toMatch(/No file was\n# read/);
    writeFileSync(join(cwd, 'tern.yaml'), drafted.stdout);
    expect(await firmtally(['validate', 'tern.yaml'], { cwd })).toMatchObject({
      code: 0,
      stderr: '',
    });
    expect(await verdicts(cwd, 'tern.yaml')).toEqual({ 'osprey-boot': 'match', font: 'match' });
  });

  it('reads what coreutils write, odd names too', async () => {
    const cwd = card();
    const lists: string[] = [];
    for (const [tool, ...args] of [
      ['md5sum'],
      ['sha1sum'],
      ['sha256sum'],
      ['md5sum', '--tag'],
      ['sha256sum', '-b'],
    ]) {
      const files = ['osprey_boot.bin', './font.bin'];
      try {
        lists.push(
          execFileSync(tool ?? '', [...args, ...files], {
            cwd: join(cwd, 'card/system/firmware'),
            encoding: 'utf8',
          }),
        );
      } catch (error) {
        if ((error as NodeJS.ErrnoException).code === 'ENOENT') return; // no coreutils here
        throw error;
      }
    }
    for (const [index, text] of lists.entries()) {
      writeFileSync(join(cwd, 'sums.txt'), text);
      const drafted = await firmtally(
        ['draft', '--list', 'sums.txt', '--folder', 'system/firmware'],
        { cwd },
      );
      expect(drafted.code).toBe(0);
      writeFileSync(join(cwd, `tern${index}.yaml`), drafted.stdout);
      expect(await verdicts(cwd, `tern${index}.yaml`)).toEqual({
        'osprey-boot': 'match',
        font: 'match',
      });
    }
  });

  it('reads several lists as one, from standard input too, in UTF-16', async () => {
    const cwd = card();
    writeFileSync(join(cwd, 'a.txt'), `${md5(east)}  osprey_boot.bin\n`);
    const input = Buffer.from(`\ufeff${md5(west)}  osprey_boot.bin\r\n`, 'utf16le');
    const drafted = await firmtally(
      ['draft', '--list', 'a.txt', '-', '--system', 'osprey', '--format', 'json'],
      { cwd, input },
    );
    expect(drafted.code).toBe(0);
    expect(JSON.parse(drafted.stdout)).toMatchObject({
      firmware: { 'osprey-boot': { dumps: [{ md5: md5(east) }, { md5: md5(west) }] } },
      systems: { osprey: { requires: ['osprey-boot'] } },
    });
    expect(drafted.stderr).toMatch(
      /<stdin>|a\.txt:1: note: osprey_boot\.bin has 2 dumps without a label/,
    );
  });

  it('says that two rows contradict each other, and keeps both', async () => {
    const cwd = card();
    writeFileSync(
      join(cwd, 'p.csv'),
      `File,Region,Size,MD5\nb.bin,East,1,${md5(east)}\nb.bin,East,1,${md5(west)}\nb.bin,West,2,${md5(west)}\n`,
    );
    const drafted = await firmtally(['draft', '--list', 'p.csv'], { cwd });
    expect(drafted.code).toBe(0);
    expect(said(drafted).slice(-2)).toEqual([
      'p.csv:3: note: It has the label "East" of line 2 but another checksum; both are kept.',
      'p.csv:4: note: It shares a checksum with line 3 but differs in the rest, so one of the two has a slip; both are kept.',
    ]);
    expect(parse(drafted.stdout)).toMatchObject({ firmware: { b: { dumps: [{}, {}, {}] } } });
  });

  it('writes no manifest that validate would refuse', async () => {
    const cwd = card();
    writeFileSync(join(cwd, 'p.txt'), 'a.bin 1c2d3e4f\nA.bin 2c2d3e4f\na.bin/x 3c2d3e4f\n');
    const drafted = await firmtally(['draft', '--list', 'p.txt'], { cwd });
    expect(drafted.code).toBe(1);
    expect(said(drafted).slice(-2)).toEqual([
      'p.txt:2: not used: It differs from "a.bin" in letter case only, and a manifest cannot hold both. In: A.bin',
      'p.txt:3: not used: "a.bin" is a file, so it cannot hold another. In: a.bin/x',
    ]);
    writeFileSync(join(cwd, 'p.yaml'), drafted.stdout);
    expect((await firmtally(['validate', 'p.yaml'], { cwd })).code).toBe(0);
  });

  it('says plainly when nothing can be used', async () => {
    const cwd = card();
    expect(
      await firmtally(['draft', '--list', '-', '--quiet'], {
        cwd,
        input: 'hello\n',
      }),
    ).toEqual({
      code: 1,
      stdout: '',
      stderr:
        'firmtally: nothing can be drafted from <stdin>; 1 line not used, see below\n' +
        '<stdin>:1: not used: There is no checksum in it. In: hello\n',
    });
    writeFileSync(join(cwd, 'tern.yaml'), 'mine');
    const args = ['draft', '--list', '-', '-o', 'tern.yaml'];
    expect((await firmtally(args, { cwd, input: 'hello\n' })).code).toBe(1);
    expect(readFileSync(join(cwd, 'tern.yaml'), 'utf8')).toBe('mine');
    const empty = await firmtally(['draft', '--list', '-'], { cwd, input: '\n' });
    expect(empty).toMatchObject({ code: 2, stdout: '' });
    expect(empty.stderr).toMatch(/there is nothing to draft/);
  });

  it('prints hostile names escaped', async () => {
    const cwd = card();
    const input = `\\${md5(east)}  up\\\\\u001b[31m\n${md5(east)}  \u202ered.bin\n`;
    const { stderr, stdout } = await firmtally(['draft', '--list', '-'], { cwd, input });
    expect(stderr + stdout).not.toMatch(/[\u001b\u202e]/);
    expect(parse(stdout)).toMatchObject({ firmware: { red: { path: '\u202ered.bin' } } });
  });
});

/** Those of the lines that the text does not have, in their order. */
function linesLost(lines: readonly string[], text: readonly string[]): string[] {
  let at = 0;
  return lines.filter((line) => {
    const found = text.indexOf(line, at);
    if (found === -1) return true;
    at = found + 1;
    return false;
  });
}

const MINE = `# mine, do not touch   \r
firmtally: 1\r
title:   "Tern"      # spaced\r
folder: system/firmware\r
\r
firmware:\r
    boot:\r
        path: osprey_boot.bin   # the one\r
        dumps:\r
            - {size: 16384, md5: '${md5(east)}'}   # east\r
            # trailing\r
\r
systems:\r
    osprey: {name: Osprey 8, requires: [boot]}\r
# end`;

describe('firmtally draft --into', () => {
  it('adds what the manifest lacks, and leaves every other character', async () => {
    const cwd = card();
    writeFileSync(join(cwd, 'mine.yaml'), MINE);
    writeFileSync(join(cwd, 'posted.md'), POSTED);
    const drafted = await firmtally(['draft', '--list', 'posted.md', '--into', 'mine.yaml'], {
      cwd,
    });
    expect(drafted.code).toBe(1);
    expect(drafted.stderr).toMatch(
      /for mine\.yaml: 1 new file \(1 optional\), 1 known file with more dumps/,
    );
    const kept = MINE.split('\n').filter((line) => !line.startsWith('    osprey:'));
    expect(linesLost(kept, drafted.stdout.split('\n'))).toEqual([]);
    expect(drafted.stdout).toContain(
      '    osprey: {name: Osprey 8, requires: [boot], optional: [font]}\r\n# end',
    );
    expect(parse(drafted.stdout)).toMatchObject({
      firmware: {
        boot: { dumps: [{ md5: md5(east) }, { label: 'B, West', md5: md5(west) }] },
        font: {},
      },
    });
    writeFileSync(join(cwd, 'mine.yaml'), drafted.stdout);
    expect(await verdicts(cwd, 'mine.yaml')).toEqual({ boot: 'match', font: 'match' });
    const again = await firmtally(['draft', '--list', 'posted.md', '--into', 'mine.yaml'], { cwd });
    expect(again.stdout).toBe(drafted.stdout);
    expect(again.stderr).toMatch(/^firmtally: nothing new is in posted\.md for mine\.yaml/);
  });

  it('keeps JSON JSON', async () => {
    const cwd = card();
    const json = {
      firmtally: 1,
      firmware: { boot: { path: 'boot.bin' } },
      systems: { o: { requires: ['boot'] } },
    };
    const text = `${JSON.stringify(json, null, 4)}\n`;
    writeFileSync(join(cwd, 'm.json'), text);
    const input = 'boot.bin 1c2d3e4f\nfont.bin 2c2d3e4f\n';
    const drafted = await firmtally(['draft', '--list', '-', '--into', 'm.json', '--system', 'o'], {
      cwd,
      input,
    });
    expect(drafted.code).toBe(0);
    expect(drafted.stdout).toBe(
      `${JSON.stringify(
        {
          firmtally: 1,
          firmware: {
            boot: { path: 'boot.bin', dumps: [{ crc32: '1c2d3e4f' }] },
            font: { path: 'font.bin', dumps: [{ crc32: '2c2d3e4f' }] },
          },
          systems: { o: { requires: ['boot', 'font'] } },
        },
        null,
        4,
      )}\n`,
    );
  });

  it.each([
    ['a manifest with errors', 'firmtally: 1\nfirmwar: {}\n', /1 error|unknown|firmwar/],
    [
      'an alias',
      'firmtally: 1\nfirmware:\n  a: &a {path: a.bin, dumps: [{crc32: 1c2d3e4f}]}\n  b: *a\nsystems: {s: {requires: [a, b]}}\n',
      /adding would change the entry "b"/,
    ],
    [
      'a clash in a loadout',
      'firmtally: 1\nfirmware: {x: {path: x.bin, folder: F}}\nsystems: {s: {requires: [x]}, b: {}}\nloadouts: {l: {systems: [s, b], folder: F}}\n',
      /not be valid any more: .*letter case only/,
    ],
  ])('writes nothing when it cannot: %s', async (_what, manifest, message) => {
    const cwd = card();
    writeFileSync(join(cwd, 'm.yaml'), manifest);
    const args = ['draft', '--list', '-', '--into', 'm.yaml', '--system', 'b'];
    const result = await firmtally(args, { cwd, input: 'a.bin 2c2d3e4f\nX.bin 3c2d3e4f\n' });
    expect(readFileSync(join(cwd, 'm.yaml'), 'utf8')).toBe(manifest);
    expect(result).toMatchObject({ code: 2, stdout: '' });
    expect(result.stderr).toMatch(message);
  });

  it('does not take a format beside it', async () => {
    const cwd = card();
    writeFileSync(join(cwd, 'mine.yaml'), MINE);
    const result = await firmtally(['draft', 'card', '--into', 'mine.yaml', '--format', 'json'], {
      cwd,
    });
    expect(result).toMatchObject({ code: 2, stdout: '' });
    expect(result.stderr).toMatch(/exclude each other/);
  });
});

describe('firmtally draft of files', () => {
  it('drafts single files, and ZIPs by their members or whole', async () => {
    const cwd = card();
    const zip = makeZip([
      { path: 'k1.rom', bytes: east },
      { path: 'sub/k2.rom', bytes: font },
      { path: 'empty.txt', bytes: new Uint8Array() },
    ]);
    writeFileSync(join(cwd, 'kestrel.zip'), zip);
    writeFileSync(join(cwd, 'no.zip'), font);
    const sources = ['kestrel.zip', 'no.zip', 'card/system/firmware/font.bin'];
    const drafted = await firmtally(['draft', ...sources], { cwd });
    expect(drafted.code).toBe(0);
    expect(drafted.stderr).toMatch(/note: kestrel\.zip: Its member empty\.txt is empty/);
    const dump = (bytes: Uint8Array): object => ({ size: bytes.length, ...digestsOf(bytes, ALL) });
    expect(parse(drafted.stdout)).toMatchObject({
      firmware: {
        kestrel: {
          path: 'kestrel.zip',
          members: [
            { path: 'k1.rom', dumps: [dump(east)] },
            { path: 'sub/k2.rom', dumps: [dump(font)] },
          ],
        },
        no: { path: 'no.zip', dumps: [dump(font)] },
        font: { path: 'font.bin', dumps: [dump(font)] },
      },
    });
    const whole = await firmtally(['draft', 'kestrel.zip', '--whole'], { cwd });
    expect(parse(whole.stdout)).toMatchObject({
      firmware: { kestrel: { path: 'kestrel.zip', dumps: [dump(zip)] } },
    });
  });

  it('takes the same path of two folders for two dumps, and a path from the root as such', async () => {
    const cwd = card();
    mkdirSync(join(cwd, 'other/system/firmware'), { recursive: true });
    writeFileSync(join(cwd, 'other/system/firmware/font.bin'), west);
    const drafted = await firmtally(
      ['draft', 'card', 'other', '--folder', 'system/firmware', '--system', 'tern'],
      { cwd },
    );
    expect(parse(drafted.stdout)).toMatchObject({
      folder: 'system/firmware',
      firmware: {
        font: { path: 'font.bin', dumps: [digestsOf(font, ALL), digestsOf(west, ALL)] },
        'osprey-boot': { path: 'osprey_boot.bin' },
      },
      systems: { tern: { requires: ['font', 'osprey-boot'] } },
    });
    writeFileSync(join(cwd, 'm.yaml'), drafted.stdout);
    expect(await verdicts(cwd, 'm.yaml')).toEqual({ font: 'match', 'osprey-boot': 'match' });
  });
});
