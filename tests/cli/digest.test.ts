import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

const POSIX = process.platform !== 'win32';

/** 'abc': RFC 1321 A.5, RFC 3174 TEST1, RFC 6234 TEST1; CRC-32 as zlib's crc32("abc"). */
const ABC = {
  crc32: '352441c2',
  md5: '900150983cd24fb0d6963f7d28e17f72',
  sha1: 'a9993e364706816aba3e25717850c26c9cd0d89d',
  sha256: 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad',
};

function folderWithAbc(): string {
  const cwd = tempFolder();
  writeFileSync(join(cwd, 'abc.bin'), 'abc');
  return cwd;
}

/** The document, once its schema has taken it. */
function validated(text: string): { files: unknown[]; faults: unknown[] } {
  const schema = JSON.parse(
    readFileSync(new URL('../../data-schemas/digest.schema.json', import.meta.url), 'utf8'),
  ) as object;
  const validate = new Ajv2020({ strict: true, strictRequired: false }).compile(schema);
  const document = JSON.parse(text) as { files: unknown[]; faults: unknown[] };
  if (!validate(document)) throw new Error(JSON.stringify(validate.errors));
  return document;
}

describe('firmtally digest', () => {
  it('prints size, CRC-32, MD5 and SHA-1', async () => {
    const result = await firmtally(['digest', 'abc.bin'], { cwd: folderWithAbc() });
    expect(result).toEqual({
      code: 0,
      stderr: '',
      stdout: [
        'abc.bin',
        '  size    3 bytes',
        `  crc32   ${ABC.crc32}`,
        `  md5     ${ABC.md5}`,
        `  sha1    ${ABC.sha1}`,
        '',
      ].join('\n'),
    });
  });

  it('prints JSON that its schema accepts, in the order given, standard input included', async () => {
    const cwd = folderWithAbc();
    writeFileSync(join(cwd, 'A-later'), '');
    const args = [
      'digest',
      '--format',
      'json',
      '--algorithm',
      'sha256,MD5',
      'abc.bin',
      '-',
      'A-later',
    ];
    const result = await firmtally(args, { cwd, input: 'abc' });
    expect(result).toMatchObject({ code: 0, stderr: '' });
    const document = validated(result.stdout);
    const { md5, sha256 } = ABC;
    expect(document).toMatchObject({ digest: 1, tool: { name: 'firmtally' }, faults: [] });
    expect(document.files.slice(0, 2)).toEqual([
      { path: 'abc.bin', size: 3, md5, sha256 },
      { path: '-', size: 3, md5, sha256 },
    ]);
    expect(document.files[2]).toMatchObject({ path: 'A-later', size: 0 });
    expect(() => validated('{"digest":1,"files":[{"path":"a","size":3}]}')).toThrow();
  });

  it('has a fault in JSON for each file that could not be read, and ends with 2', async () => {
    const cwd = folderWithAbc();
    mkdirSync(join(cwd, 'folder'));
    const args = ['digest', '--format', 'json', 'folder', 'abc.bin', 'nope'];
    const result = await firmtally(args, { cwd });
    expect(result.code).toBe(2);
    const { files, faults } = validated(result.stdout);
    expect(files).toEqual([
      { path: 'abc.bin', size: 3, crc32: ABC.crc32, md5: ABC.md5, sha1: ABC.sha1 },
    ]);
    expect(faults).toEqual([
      { path: 'folder', code: 'not-a-file', message: 'it is a folder; name the files in it' },
      { path: 'nope', code: 'vanished', message: 'no such file' },
    ]);
  });

  it('writes sums with SHA-256 unless told otherwise', async () => {
    const cwd = folderWithAbc();
    const sums = await firmtally(['digest', '--format', 'sums', 'abc.bin'], { cwd });
    expect(sums.stdout).toBe(`${ABC.sha256}  abc.bin\n`);
    const md5 = await firmtally(['digest', '--format', 'sums', '--algorithm', 'md5', 'abc.bin'], {
      cwd,
    });
    expect(md5.stdout).toBe(`${ABC.md5}  abc.bin\n`);
  });

  it('tells what it cannot read, does the others, and ends with 2', async () => {
    const cwd = folderWithAbc();
    mkdirSync(join(cwd, 'folder'));
    const result = await firmtally(
      ['digest', '--format', 'sums', 'nope', 'folder', 'abc.bin', 'new\nline\u001b[31m'],
      { cwd },
    );
    expect(result).toEqual({
      code: 2,
      stdout: `${ABC.sha256}  abc.bin\n`,
      stderr: [
        'firmtally: nope: no such file',
        'firmtally: folder: it is a folder; name the files in it',
        'firmtally: new\\nline\\x1b[31m: no such file',
        '',
      ].join('\n'),
    });
  });

  it.skipIf(!POSIX)('refuses FIFOs and devices instead of waiting for them', async () => {
    const cwd = tempFolder();
    execFileSync('mkfifo', [join(cwd, 'fifo')]);
    const result = await firmtally(['digest', 'fifo', '/dev/zero'], { cwd });
    expect(result).toMatchObject({ code: 2, stdout: '' });
    expect(result.stderr).toMatch(
      /^firmtally: fifo: .*FIFO.*\nfirmtally: \/dev\/zero: .*device.*\n$/,
    );
  });

  it('takes names that start with a dash after --', async () => {
    const cwd = tempFolder();
    writeFileSync(join(cwd, '--check'), 'abc');
    writeFileSync(join(cwd, '-'), 'not standard input');
    const result = await firmtally(['digest', '--format', 'sums', '--', '--check', './-'], { cwd });
    const other = createHash('sha256').update('not standard input').digest('hex');
    expect(result.stdout).toBe(`${ABC.sha256}  --check\n${other}  ./-\n`);
  });

  it.each([
    [['--algorithm', 'mdd5', 'f'], '"mdd5" is not an algorithm', 'Did you mean md5?'],
    [['--format', 'sums', '--algorithm', 'crc32', 'f'], 'crc32', '--format json'],
    [['--format', 'sums', '--algorithm', 'md5,sha1', 'f'], 'one algorithm', '--algorithm'],
    [['--check', '--algorithm', 'md5', 'f'], '--algorithm', ''],
    [['--check', '--format', 'sums', 'f'], 'text or json', ''],
    [['-', '-'], 'more than once', ''],
    [[], 'needs <file..>', '--help'],
  ])('refuses %j', async (args, message, remedy) => {
    const result = await firmtally(['digest', ...args], { cwd: tempFolder() });
    expect(result).toMatchObject({ code: 2, stdout: '' });
    const [first = '', second = ''] = result.stderr.split('\n');
    expect(first).toContain(message);
    expect(second).toContain(remedy);
    expect(result.stderr.split('\n').length).toBeLessThanOrEqual(3);
  });

  it('uses threads for much data, and agrees with node:crypto', async () => {
    const cwd = tempFolder();
    const names = ['a', 'b', 'c', 'd'];
    for (const name of names) writeFileSync(join(cwd, name), Buffer.alloc(9_000_000, name));
    const result = await firmtally(['digest', '--format', 'sums', ...names], { cwd });
    const expected = names.map((name) => {
      const hash = createHash('sha256').update(Buffer.alloc(9_000_000, name));
      return `${hash.digest('hex')}  ${name}\n`;
    });
    expect(result).toEqual({ code: 0, stderr: '', stdout: expected.join('') });
  });
});
