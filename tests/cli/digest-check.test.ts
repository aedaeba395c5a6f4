import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

const MD5_ABC = '900150983cd24fb0d6963f7d28e17f72'; // RFC 1321, A.5
const SHA1_ABC = 'a9993e364706816aba3e25717850c26c9cd0d89d'; // RFC 3174, TEST1
const ZEROS = '0'.repeat(32);

function setUp(list: string | Uint8Array): string {
  const cwd = tempFolder();
  writeFileSync(join(cwd, 'abc.bin'), 'abc');
  mkdirSync(join(cwd, 'folder'));
  writeFileSync(join(cwd, 'SUMS'), list);
  return cwd;
}

const check = (list: string | Uint8Array): ReturnType<typeof firmtally> =>
  firmtally(['digest', '--check', 'SUMS'], { cwd: setUp(list) });

const ALL_GOOD = ', 0 mismatch, 0 missing, 0 unreadable, 0 malformed lines\n';

describe('firmtally digest --check', () => {
  it('ends with 0 when everything matches', async () => {
    const list = `${MD5_ABC}  abc.bin\r\n${SHA1_ABC.toUpperCase()} *abc.bin\n352441c2  ./abc.bin\n`;
    expect(await check(list)).toEqual({ code: 0, stderr: '', stdout: `3 match${ALL_GOOD}` });
  });

  // Read in blocks, each of which takes the memory of the one before.
  it('reads a list of many blocks', async () => {
    const lines = Array.from(
      { length: 6000 },
      (_, i) => `${MD5_ABC}  ${'./'.repeat(i % 50)}abc.bin\n`,
    );
    expect(await check(lines.join(''))).toEqual({
      code: 0,
      stderr: '',
      stdout: `6000 match${ALL_GOOD}`,
    });
  });

  it('puts failures first, and counts each kind apart', async () => {
    const list = [
      `${MD5_ABC}  abc.bin`,
      `${ZEROS}  abc.bin`,
      `${ZEROS}  gone.bin`,
      `${ZEROS}  folder`,
      `${ZEROS}0  abc.bin`,
      'hello',
    ];
    const result = await check(list.join('\n'));
    expect(result).toMatchObject({ code: 2, stderr: '' });
    expect(result.stdout.split('\n')).toEqual([
      'mismatch    abc.bin',
      `  md5 listed  ${ZEROS}`,
      `  md5 found   ${MD5_ABC}`,
      'missing     gone.bin',
      'unreadable  folder: it is a folder; name the files in it',
      expect.stringMatching(/^malformed {3}SUMS:5: .*length/),
      expect.stringMatching(/^malformed {3}SUMS:6: not a checksum line/),
      '1 match, 1 mismatch, 1 missing, 1 unreadable, 2 malformed lines',
      '',
    ]);
  });

  it.each([
    ['mismatch', `${MD5_ABC}  abc.bin\n${ZEROS}  abc.bin\n`, 1],
    ['missing', `${MD5_ABC}  abc.bin\n${ZEROS}  gone\n`, 1],
    ['malformed', `${MD5_ABC}  abc.bin\nhello\n`, 2],
    ['unreadable', `${MD5_ABC}  abc.bin\n${ZEROS}  folder\n`, 2],
    ['nothing listed', '', 2],
    ['only comments', '# nothing\n\n', 2],
  ])('%s', async (_, list, code) => {
    expect((await check(list)).code).toBe(code);
  });

  it('says that an empty list verifies nothing', async () => {
    const result = await check('');
    expect(result.stderr).toBe('firmtally: SUMS: it names no file, so nothing was verified\n');
    expect(result.stdout).toBe(`0 match${ALL_GOOD}`);
  });

  it('takes several lists, and one from standard input', async () => {
    const cwd = setUp(`${MD5_ABC}  abc.bin\n`);
    const input = `SHA1 (abc.bin) = ${SHA1_ABC}\n`;
    expect(await firmtally(['digest', '--check', 'SUMS', '-'], { cwd, input })).toEqual({
      code: 0,
      stderr: '',
      stdout: `2 match${ALL_GOOD}`,
    });
  });

  it('says the same in JSON that its schema accepts, with the same exit code', async () => {
    const lines = [
      `${MD5_ABC}  abc.bin`,
      `${ZEROS}  abc.bin`,
      `${ZEROS}  gone.bin`,
      `${ZEROS}  folder`,
    ];
    const cwd = setUp([...lines, 'hello'].join('\n'));
    const result = await firmtally(['digest', '--check', '--format', 'json', 'SUMS'], { cwd });
    expect(result).toMatchObject({ code: 2, stderr: '' });
    const schema = JSON.parse(
      readFileSync(new URL('../../data-schemas/digest.schema.json', import.meta.url), 'utf8'),
    ) as object;
    const validate = new Ajv2020({ strict: true, strictRequired: false }).compile(schema);
    const document: unknown = JSON.parse(result.stdout);
    expect(validate(document), JSON.stringify(validate.errors)).toBe(true);
    const line = (number: number, path: string, found: string | null, status: string): object => {
      const listed = number === 1 ? MD5_ABC : ZEROS;
      return { line: number, path, algorithm: 'md5', listed, found, status };
    };
    expect(document).toMatchObject({
      digest: 1,
      files: [{ path: 'abc.bin', size: 3, md5: MD5_ABC }],
      faults: [
        { path: 'gone.bin', code: 'vanished', message: 'no such file' },
        { path: 'folder', code: 'not-a-file', message: 'it is a folder; name the files in it' },
      ],
      lists: [
        {
          path: 'SUMS',
          lines: [
            line(1, 'abc.bin', MD5_ABC, 'match'),
            line(2, 'abc.bin', MD5_ABC, 'mismatch'),
            line(3, 'gone.bin', null, 'missing'),
            line(4, 'folder', null, 'unreadable'),
          ],
          malformed: [{ line: 5 }],
        },
      ],
      totals: { match: 1, mismatch: 1, missing: 1, unreadable: 1, malformed: 1 },
    });
  });

  it('fits 40 columns, and escapes hostile names', async () => {
    const cwd = setUp(`${ZEROS}  \u001b[31mred\u202e\n`);
    const result = await firmtally(['digest', '--check', 'SUMS'], { cwd, env: { COLUMNS: '40' } });
    expect(result.stdout.split('\n')).toEqual([
      'missing     \\x1b[31mred\\u{202e}',
      '0 match',
      '0 mismatch',
      '1 missing',
      '0 unreadable',
      '0 malformed lines',
      '',
    ]);
  });

  it('says where to run it when the files are beside a list elsewhere', async () => {
    const cwd = tempFolder();
    mkdirSync(join(cwd, 'release'));
    writeFileSync(join(cwd, 'release', 'abc.bin'), 'abc');
    writeFileSync(join(cwd, 'release', 'SUMS'), `${MD5_ABC}  abc.bin\n${ZEROS}  gone.bin\n`);
    writeFileSync(join(cwd, 'release', 'OTHER'), `${ZEROS}  gone.bin\n`);
    const run = (...args: string[]): ReturnType<typeof firmtally> =>
      firmtally(['digest', '--check', ...args], { cwd });
    expect(await run('release/SUMS')).toMatchObject({
      code: 1,
      stderr:
        'firmtally: release/SUMS: the files it names are beside the list; run this in release\n',
    });
    expect(await run('release/SUMS', '--quiet')).toMatchObject({ code: 1, stderr: '' });
    expect(await run('release/OTHER')).toMatchObject({ code: 1, stderr: '' });
  });

  it('ends with trouble when the list cannot be read, in two lines', async () => {
    const result = await firmtally(['digest', '--check', 'nope'], { cwd: tempFolder() });
    expect(result).toEqual({
      code: 2,
      stdout: '',
      stderr: 'firmtally: nope: no such file\nName a checksum list.\n',
    });
  });

  it('refuses a list above its limit of 16 MiB', async () => {
    const result = await check(new Uint8Array((16 << 20) + 1));
    expect(result).toMatchObject({ code: 2, stdout: '' });
    expect(result.stderr).toContain('at most 16 MiB');
  });
});
