import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, renameSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { digestsOf, noise } from '../core/diagnose/support.js';
import { firmtally } from '../support/cli.js';
import { needsAnyNames, needsLinks } from '../support/system.js';
import { tempFolder } from '../support/temp.js';

const boot = Buffer.from(noise(2048, 1));
const font = Buffer.from(noise(512, 2));

/** A folder with an invented manifest and a pile. Digests come from node:crypto and node:zlib. */
function scene(): string {
  const folder = tempFolder();
  const dump = (bytes: Buffer): string =>
    JSON.stringify([
      { label: 'rev B', size: bytes.length, ...digestsOf(bytes, ['crc32', 'sha1']) },
    ]);
  writeFileSync(
    join(folder, 'tern.yaml'),
    `firmtally: 1
firmware:
  boot: {path: boot.bin, dumps: ${dump(boot)}}
  font: {path: font.bin, dumps: ${dump(font)}}
systems:
  osprey: {name: Osprey 8, requires: [boot, font]}
`,
  );
  mkdirSync(join(folder, 'pile/sub'), { recursive: true });
  writeFileSync(join(folder, 'pile/sub/a b.dat'), boot);
  return folder;
}

const run = (cwd: string, ...args: string[]): ReturnType<typeof firmtally> =>
  firmtally(['identify', ...args, '-m', 'tern.yaml'], { cwd });

describe('firmtally identify', () => {
  it('says 0 when every file was recognised', async () => {
    const cwd = scene();
    const result = await run(cwd, 'pile');
    expect(result).toEqual({
      code: 0,
      stderr: '',
      stdout: `1 file: 1 recognised, 0 need attention, 0 not in the manifest.
Firmware here: 1 of the manifest's 2.
To put what was found where it belongs:
  firmtally place pile --onto CARD -m tern.yaml

Recognised
pile/sub/a b.dat
  boot (rev B), for Osprey 8

1 file: 1 recognised, 0 need attention, 0 not in the manifest.
`,
    });
  });

  it('says 1 and what to do when some were not', async () => {
    const cwd = scene();
    writeFileSync(join(cwd, 'pile/font.bin'), Buffer.from(font).swap16());
    writeFileSync(join(cwd, 'pile/notes.txt'), 'x');
    const result = await run(cwd, 'pile', 'pile/notes.txt');
    expect(result).toMatchObject({ code: 1, stderr: '' });
    expect(result.stdout).toContain(`Needs attention
pile/font.bin
  font: byte-swapped
  fact  The two bytes of every 16-bit word are exchanged.
  do    Use a corrected copy`);
    // Named in the command to type next, and nowhere else.
    expect(result.stdout).not.toContain('\npile/notes.txt');
    expect(result.stdout).toContain('firmtally place pile pile/notes.txt --onto CARD -m tern.yaml');
    expect(result.stdout).toContain('--repair');
    expect(result.stdout).toContain('Not in the manifest (--all lists 1)\n');
    expect(result.stdout).toContain(
      "Firmware here: 1 of the manifest's 2, 1 more once repaired.\n",
    );
    expect(result.stdout).toMatch(
      /3 files: 1 recognised, 1 needs attention, 1 not in the\s+manifest\.\n$/,
    );
    const all = await run(cwd, 'pile', '--all');
    expect(all.stdout).toContain('Not in the manifest\npile/notes.txt\n');
  });

  it('says what is not needed: copies, and what is wrong while the right one is here', async () => {
    const cwd = scene();
    for (const name of ['b', 'c', 'd', 'e', 'f']) writeFileSync(join(cwd, 'pile', name), boot);
    writeFileSync(join(cwd, 'pile/boot.bin'), boot.subarray(0, 900));
    const result = await run(cwd, 'pile');
    expect(result.stdout).toContain(`
Not needed: 5 further copies; 1 other, as the right ones are here too.
`);
    expect(result.stdout).toContain(`
Recognised
pile/b
  boot (rev B), for Osprey 8
  also  pile/c
  also  pile/d
  also  pile/e
  also  2 more (--all lists them)

Not needed, as the right ones are here too
pile/boot.bin
  boot: truncated
  fact  The file has 900 of 2048 bytes.
  right pile/b
`);
    expect((await run(cwd, 'pile', '--all')).stdout).toContain(
      '  also  pile/f\n  also  pile/sub/a b.dat\n',
    );
  });

  it('takes the manifest that lies in a source, says which, and names it to place', async () => {
    const cwd = scene();
    renameSync(join(cwd, 'tern.yaml'), join(cwd, 'pile/firmtally.yaml'));
    const result = await firmtally(['identify', 'pile'], { cwd });
    expect(result).toMatchObject({
      code: 1,
      stderr: 'firmtally: the manifest is pile/firmtally.yaml\n',
    });
    expect(result.stdout).toContain('  firmtally place pile --onto CARD -m pile/firmtally.yaml\n');
  });

  it('says 1 when there is nothing to look at', async () => {
    const cwd = scene();
    mkdirSync(join(cwd, 'nothing'));
    expect(await run(cwd, 'nothing')).toEqual({
      code: 1,
      stderr: '',
      stdout: 'There are no files to look at.\n',
    });
  });

  it('looks into what Info-ZIP writes', async ({ skip }) => {
    const cwd = scene();
    try {
      execFileSync('zip', ['-q', '-r', '../pile.zip', '.'], { cwd: join(cwd, 'pile') });
    } catch {
      skip('Info-ZIP is not installed');
    }
    const result = await run(cwd, 'pile.zip');
    expect(result.code).toBe(0);
    expect(result.stdout).toContain('pile.zip, member sub/a b.dat\n  boot (rev B), for Osprey 8\n');
  });

  it('gives JSON that the schema describes, the same each time', async () => {
    const cwd = scene();
    writeFileSync(join(cwd, 'pile/font.bin'), font.subarray(0, 100));
    const [first, second] = [
      await run(cwd, 'pile', '--format', 'json'),
      await run(cwd, 'pile', '--format=json'),
    ];
    expect(first).toEqual(second);
    const schema = new URL('../../data-schemas/identification.schema.json', import.meta.url);
    const validate = new Ajv2020({ strict: true, allowUnionTypes: true }).compile(
      JSON.parse(readFileSync(schema, 'utf8')) as object,
    );
    const document: unknown = JSON.parse(first.stdout);
    expect(validate(document), JSON.stringify(validate.errors)).toBe(true);
    expect(document).toMatchObject({
      identification: 1,
      files: [
        { path: 'pile/font.bin', diagnosis: 'truncated', nearest: 'font', firmware: [] },
        {
          path: 'pile/sub/a b.dat',
          firmware: [{ id: 'boot', dump: 'rev B', systems: ['osprey'] }],
        },
      ],
      totals: { files: 2, recognised: 1, needAttention: 1, unrelated: 0 },
    });
  });

  it('escapes hostile names and keeps to the width', async (context) => {
    needsAnyNames(context);
    const cwd = scene();
    const name = `font\u202e${'x'.repeat(90)}\n\u001b[31m`;
    mkdirSync(join(cwd, 'pile', name));
    writeFileSync(join(cwd, 'pile', name, 'font.bin'), 'short');
    const result = await firmtally(['identify', 'pile', '-m', 'tern.yaml'], {
      cwd,
      env: { COLUMNS: '40' },
    });
    expect(result.code).toBe(1);
    expect(result.stdout).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u202e]/);
    for (const line of result.stdout.split('\n')) expect(line.length).toBeLessThanOrEqual(40);
  });

  it('follows a link named itself, and passes over links in folders', async (context) => {
    needsLinks(context);
    const cwd = scene();
    symlinkSync('sub/a b.dat', join(cwd, 'pile/link'));
    expect((await run(cwd, 'pile')).stdout).toContain('1 file: 1 recognised');
    expect((await run(cwd, 'pile/link')).stdout).toContain('pile/link\n  boot (rev B)');
  });

  it.each([
    [['nowhere'], /nowhere: no such file or folder/],
    [[''], /<source> is empty/],
    [['pile', '--format', 'xml'], /format/],
    [[], /source/],
  ])('refuses %j in two lines', async (args, message) => {
    const result = await run(scene(), ...args);
    expect(result).toMatchObject({ code: 2, stdout: '' });
    expect(result.stderr).toMatch(message);
    expect(result.stderr.trimEnd().split('\n').length).toBeLessThanOrEqual(2);
  });

  it('refuses a FIFO without opening it', async ({ skip }) => {
    if (process.platform === 'win32') skip('Windows has no FIFOs in folders');
    const cwd = scene();
    execFileSync('mkfifo', [join(cwd, 'pile/pipe')]);
    expect(await run(cwd, 'pile/pipe')).toMatchObject({ code: 2, stdout: '' });
    const result = await run(cwd, 'pile');
    expect(result).toMatchObject({
      code: 1,
      stderr: 'firmtally: pile/pipe: it is a named pipe, not a file\n',
    });
    expect(result.stdout).toMatch(/ 1 path could not\s+be read\.\n$/);
  });
});
