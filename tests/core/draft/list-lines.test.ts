/** What the reader of posted lists makes of single lines, tables and JSON. All data is invented. */
import { describe, expect, it } from 'vitest';
import { readList, type ListReading } from '@firmtally/core';

const MD5 = '00112233445566778899aabbccddeeff';
const OTHER_MD5 = 'ffeeddccbbaa99887766554433221100';
const SHA1 = `${MD5}01234567`;
const SHA256 = MD5 + OTHER_MD5;
const SHA512 = SHA256 + SHA256;

function read(text: string | Uint8Array): ListReading {
  return readList('list', typeof text === 'string' ? new TextEncoder().encode(text) : text);
}

type Row = readonly [path: string, digests: object, size?: number | null];

/** Path, digests and size of each row. */
function rows(text: string): Row[] {
  return read(text).rows.map(({ path, digests, size }) => [path, digests, size]);
}

describe('one line', () => {
  it.each<[string, string, object, number | null]>([
    ['coreutils, text', `${MD5}  osprey boot.bin`, { md5: MD5 }, null],
    ['coreutils, binary', `${SHA1} *osprey/boot.bin`, { sha1: SHA1 }, null],
    ['a name that starts with ./', `${SHA256}  ./osprey/boot.bin`, { sha256: SHA256 }, null],
    ['upper case and CRLF', `${MD5.toUpperCase()}  boot.bin\r`, { md5: MD5 }, null],
    ['white space at its end', `${MD5}  boot.bin  \t`, { md5: MD5 }, null],
    ['BSD', `MD5 (osprey (1).bin) = ${MD5}`, { md5: MD5 }, null],
    ['OpenSSL 3', `SHA2-256(boot.bin)= ${SHA256}`, { sha256: SHA256 }, null],
    ['name and CRC-32', 'osprey boot (east).bin 1C2D3E4F', { crc32: '1c2d3e4f' }, null],
    ['a chip, its ending a number', 'bank 3.27 1c2d3e4f', { crc32: '1c2d3e4f' }, null],
    ['a folder as Windows writes it', 'osprey\\boot.bin 1c2d3e4f', { crc32: '1c2d3e4f' }, null],
    ['a CRC-32 of digits only', 'boot.bin 12345678', { crc32: '12345678' }, null],
    ['a size and a CRC-32 of digits only', 'boot.bin 16384 12345678', { crc32: '12345678' }, 16384],
    ['columns', `boot.bin   16384   1c2d3e4f   ${MD5}`, { crc32: '1c2d3e4f', md5: MD5 }, 16384],
    ['the checksum first', `${MD5} boot.bin`, { md5: MD5 }, null],
    ['checksum, size, name', '1c2d3e4f  16384  boot.bin', { crc32: '1c2d3e4f' }, 16384],
    ['size, name, checksum', '1048576  boot.bin  1c2d3e4f', { crc32: '1c2d3e4f' }, 1048576],
    ['commas, no header', `boot.bin,16384,1c2d3e4f,${MD5}`, { crc32: '1c2d3e4f', md5: MD5 }, 16384],
    ['a sentence', `I have boot.bin with MD5 ${MD5}`, { md5: MD5 }, null],
    ['a sentence about a CRC', 'the CRC of boot.bin is 1c2d3e4f', { crc32: '1c2d3e4f' }, null],
    [
      'labels and bytes',
      `boot.bin (16,384 bytes) MD5: ${MD5}, SHA-1=${SHA1}`,
      { md5: MD5, sha1: SHA1 },
      16384,
    ],
    ['a bullet and emphasis', `- **boot.bin**: ${MD5}`, { md5: MD5 }, null],
    ['a name in quotes', `"owl of the marsh.bin" ${MD5}`, { md5: MD5 }, null],
    ['a name without an ending', `boot ${MD5}`, { md5: MD5 }, null],
    ['an aside after the name', `osprey boot.bin (revision B) ${MD5}`, { md5: MD5 }, null],
    ['a description in a column of its own', `start-up code\tboot.bin\t${MD5}`, { md5: MD5 }, null],
    ['0x in front', 'boot.bin: 0x1C2D3E4F', { crc32: '1c2d3e4f' }, null],
    [
      'a size of eight digits that is said to be one',
      `boot.bin size 16777216 ${MD5}`,
      { md5: MD5 },
      16777216,
    ],
    [
      'a size of eight digits beside a CRC-32',
      `boot.bin 16777216 1c2d3e4f`,
      { crc32: '1c2d3e4f' },
      16777216,
    ],
  ])('%s', (_what, line, digests, size) => {
    const reading = read(line);
    expect(reading.unused).toEqual([]);
    expect(reading.rows).toHaveLength(1);
    expect(reading.rows[0]).toMatchObject({ line: 1, digests, size });
    expect(reading.notes).toEqual([]);
  });

  it('takes the name as it is meant', () => {
    const list = [
      `${MD5}  osprey boot.bin`,
      `${MD5} *dir/x.bin`,
      `\\${MD5}  two\\nlines.bin`,
      'osprey boot (east).bin 1c2d3e4f',
      'osprey\\boot.bin 1c2d3e4f',
      `osprey boot.bin (revision B) ${MD5}`,
      `start-up code\tboot.bin\t${MD5}`,
      `"owl of the marsh.bin" ${MD5}`,
    ];
    expect(rows(list.join('\n')).map(([path]) => path)).toEqual([
      'osprey boot.bin',
      'dir/x.bin',
      'two\nlines.bin',
      'osprey boot (east).bin',
      'osprey/boot.bin',
      'osprey boot.bin',
      'boot.bin',
      'owl of the marsh.bin',
    ]);
  });

  it.each([
    ['no checksum', 'just words here', /no checksum/],
    ['a CRC-32 of 7 digits', 'boot.bin 1c2d3e4', /"1c2d3e4" has 7 hex digits/],
    ['an MD5 of 33 digits', `${MD5}0  boot.bin`, /33 hex digits/],
    ['an MD5 of 31 digits in text', `boot.bin with ${MD5.slice(1)}`, /31 hex digits/],
    ['a label and a wrong length', 'boot.bin md5: 1c2d3e4f', /MD5 has 8 hex digits, not 32/],
    ['BSD, a wrong length', `MD5 (boot.bin) = ${SHA1}`, /MD5 has 40 hex digits, not 32/],
    ['BSD, no hex', 'MD5 (boot.bin) = lost', /hex digits/],
    ['SHA-512', `${SHA512}  boot.bin`, /SHA-512 checksum is nothing a manifest can hold/],
    ['BSD SHA512', `SHA512 (boot.bin) = ${SHA512}`, /SHA512 checksum/],
    ['words that may all be the name', `owl of the marsh.bin   ${MD5}`, /put the name in "quotes"/],
    ['two files', `boot.bin or west.bin ${MD5}`, /put the name in "quotes"/],
    ['two runs of which one is the name', 'deadbeef  1c2d3e4f', /Which of the two/],
    ['two MD5s', `boot.bin ${MD5} ${OTHER_MD5}`, /two MD5 checksums/],
    ['two runs of 8 digits', 'boot.bin, 16777216, 12345678', /may each be the CRC-32 or the size/],
    ['no name', `MD5: ${MD5}`, /names no file/],
    ['a backslash in the name itself', `\\${MD5}  back\\\\slash.bin`, /holds a backslash/],
    ['an unknown escape', `\\${MD5}  a\\tb.bin`, /escape/],
    ['a way out', `${MD5}  ../boot.bin`, /leads out of the folder/],
    ['a disk', `${MD5}  C:\\boot.bin`, /top of a disk/],
    ['an absolute path', `${MD5}  /etc/boot.bin`, /top of a disk/],
    ['a folder', `${MD5}  osprey/`, /that of a folder/],
    ['a very long line', `${'x '.repeat(3000)}${MD5}`, /longer than 4096/],
  ])('is not used, and the reason said: %s', (_what, line, reason) => {
    const reading = read(`boot.bin 1c2d3e4f\n${line}`);
    expect(reading.rows).toHaveLength(1);
    expect(reading.unused).toHaveLength(1);
    expect(reading.unused[0]).toMatchObject({ line: 2, endLine: 2 });
    expect(reading.unused[0]?.reason.text).toMatch(reason);
    expect(reading.unused[0]?.reason.text).toMatch(/^["A-Z].*\.$/);
  });

  it('gives why a line is not used as data, too', () => {
    const lines = ['just words here', `MD5 (boot.bin) = ${SHA1}`, `${MD5}  ../boot.bin`];
    const reasons = lines.map((line) => read(`boot.bin 1c2d3e4f\n${line}`).unused[0]?.reason);
    expect(reasons).toMatchObject([
      { code: 'no-checksum', of: 'line' },
      { code: 'wrong-length', digits: 40, wanted: 'md5' },
      { code: 'name-not-held', why: 'outside' },
    ]);
  });

  it.each([
    ['a rounded size', `boot.bin, 512 KB, ${MD5}`, /"512 KB" is rounded/],
    ['a number that may be a size or a place', `3 boot.bin ${MD5}`, /"3" may be a size or a place/],
    ['two numbers', `boot.bin 16384 77 ${MD5}`, /may each be the size/],
    ['8 digits beside an MD5', `boot.bin 16777216 ${MD5}`, /"16777216" may be a CRC-32 or a size/],
    ['a further SHA-512', `boot.bin ${MD5} ${SHA512}`, /cannot hold is left out/],
  ])('is used without what is doubtful: %s', (_what, line, note) => {
    const { rows: found, notes, unused } = read(line);
    expect(unused).toEqual([]);
    expect(found).toMatchObject([{ path: 'boot.bin', size: null, digests: { md5: MD5 } }]);
    expect(notes).toHaveLength(1);
    expect(notes[0]).toMatchObject({ line: 1 });
    expect(notes[0]?.message).toMatch(note);
  });

  it('passes over comments, empty and ruled lines', () => {
    const text = `; made by hand\n# also\n\n-----\nboot.bin 1c2d3e4f\n   \n`;
    expect(read(text)).toMatchObject({ rows: [{ line: 5 }], unused: [], notes: [] });
  });

  it('keeps wide gaps in names where ; comments show what list it is', () => {
    expect(rows('; sums\nosprey  boot.bin 1c2d3e4f')).toEqual([
      ['osprey  boot.bin', { crc32: '1c2d3e4f' }, null],
    ]);
    expect(rows('; sums\ndeadbeef  1c2d3e4f')).toEqual([['deadbeef', { crc32: '1c2d3e4f' }, null]]);
    expect(rows('osprey  boot.bin 1c2d3e4f')).toEqual([['boot.bin', { crc32: '1c2d3e4f' }, null]]);
  });

  it('counts neighbours with one reason as one', () => {
    expect(read('one\ntwo\n\nthree\nboot.bin 1c2d3e4f\nfour').unused).toMatchObject([
      { line: 1, endLine: 2, text: 'one' },
      { line: 4, endLine: 4 },
      { line: 6, endLine: 6, text: 'four' },
    ]);
  });
});

describe('a table', () => {
  it('in Markdown, columns in any order, marks and escapes off', () => {
    const reading = read(`Some words first.

| Needed? | Region | MD5 sum | Console | Size (bytes) | BIOS file | Notes |
|:--|:-:|---|---|--:|---|---|
| yes | East | \`${MD5}\` | Osprey 8 | 16,384 | \`osprey_boot.bin\` | old |
| no | West | ${OTHER_MD5.toUpperCase()} | Osprey 8 | 16 KB | [osprey\\_boot.bin](http://example.invalid/x) | |
| | - | ${MD5} | | ? | **a\\|b.bin** | |
`);
    expect(reading.rows).toEqual([
      {
        line: 5,
        path: 'osprey_boot.bin',
        size: 16384,
        digests: { md5: MD5 },
        label: 'East',
        system: 'Osprey 8',
        optional: false,
      },
      {
        line: 6,
        path: 'osprey_boot.bin',
        size: null,
        digests: { md5: OTHER_MD5 },
        label: 'West',
        system: 'Osprey 8',
        optional: true,
      },
      {
        line: 7,
        path: 'a|b.bin',
        size: null,
        digests: { md5: MD5 },
        label: null,
        system: null,
        optional: null,
      },
    ]);
    expect(reading.unused).toMatchObject([{ line: 1 }]);
    expect(reading.notes).toEqual([
      { line: 3, code: 'unused-column', message: 'The column "Notes" is not used.' },
      { line: 6, code: 'rounded-size', message: 'The size "16 KB" is rounded, so it is left out.' },
    ]);
  });

  it.each([
    ['commas', ','],
    ['tabs', '\t'],
    ['semicolons', ';'],
  ])('with %s, quoted cells too', (_what, mark) => {
    const lines = [
      ['File Name', 'SHA-1', 'Length', 'Revision', 'Region'],
      [`"a${mark}b ""c"".bin"`, SHA1, '16384', 'A', 'East'],
      ['boot.bin', SHA1, '', '', ''],
    ];
    expect(read(lines.map((cells) => cells.join(mark)).join('\r\n'))).toEqual({
      rows: [
        {
          line: 2,
          path: `a${mark}b "c".bin`,
          size: 16384,
          digests: { sha1: SHA1 },
          label: 'A, East',
          system: null,
          optional: null,
        },
        {
          line: 3,
          path: 'boot.bin',
          size: null,
          digests: { sha1: SHA1 },
          label: null,
          system: null,
          optional: null,
        },
      ],
      unused: [],
      notes: [],
    });
  });

  it('joins a folder and a file', () => {
    expect(rows(`Folder,File,CRC\nosprey,boot.bin,1c2d3e4f\n.,top.bin,1c2d3e4f`)).toEqual([
      ['osprey/boot.bin', { crc32: '1c2d3e4f' }, null],
      ['top.bin', { crc32: '1c2d3e4f' }, null],
    ]);
    expect(
      rows(`Path,File,CRC\nosprey/boot.bin,boot.bin,1c2d3e4f\nkestrel,k.bin,1c2d3e4f`),
    ).toEqual([
      ['osprey/boot.bin', { crc32: '1c2d3e4f' }, null],
      ['kestrel/k.bin', { crc32: '1c2d3e4f' }, null],
    ]);
  });

  it('with one column for checksums of any kind', () => {
    expect(rows(`Name;Checksum\na.bin;CRC32: 1c2d3e4f / MD5: ${MD5}`)).toEqual([
      ['a.bin', { crc32: '1c2d3e4f', md5: MD5 }, null],
    ]);
  });

  it.each([
    ['a cell too many', 'a.bin,1c2d3e4f,x', /3 cells, the header 2/],
    ['no name', ',1c2d3e4f', /names no file/],
    ['no checksum', 'a.bin,n/a', /gives no checksum/],
    ['zeros lost in a spreadsheet', 'a.bin,2d3e4f', /6 hex digits, not 8; a spreadsheet/],
    ['no hex', 'a.bin,1.23E+07', /no checksum/],
    ['a quote too many', '"a.bin,1c2d3e4f', /quote/],
  ])('names the row that has %s', (_what, row, reason) => {
    const reading = read(`File,CRC32\nb.bin,1c2d3e4f\n${row}\nc.bin,1c2d3e4f\n`);
    expect(reading.rows.map(({ path }) => path)).toEqual(['b.bin', 'c.bin']);
    expect(reading.unused).toMatchObject([{ line: 3, endLine: 3 }]);
    expect(reading.unused[0]?.reason.text).toMatch(reason);
  });

  it('follows another, and lines follow it', () => {
    const text = `File,CRC\na.bin,1c2d3e4f\n\nName;MD5\nb.bin;${MD5}\n${MD5}  c.bin\n| File | MD5 |\n|--|--|\n| d.bin | ${MD5} |\ne.bin 1c2d3e4f\n`;
    expect(rows(text).map(([path]) => path)).toEqual(['a.bin', 'b.bin', 'c.bin', 'd.bin', 'e.bin']);
    expect(read(text).unused).toEqual([]);
  });

  it('says once that sizes are given in kilobytes only', () => {
    const { rows: found, notes } = read(
      'File,Size (KB),CRC\na.bin,512,1c2d3e4f\nb.bin,524288 bytes,1c2d3e4f',
    );
    expect(found.map(({ size }) => size)).toEqual([null, 524288]);
    expect(notes).toMatchObject([
      { line: 2, message: 'The size "512" is rounded, so it is left out.' },
    ]);
  });
});

describe('JSON', () => {
  it('as an array of objects, numbers as written', () => {
    const reading = read(`[
  {"name": "a.bin", "size": 16384, "crc32": 12345678, "hashes": {"md5": "${MD5}"}},
  {"md5": "${MD5}", "filename": "__proto__", "region": "East", "__proto__": 1},
  {"name": "c.bin"}
]`);
    expect(reading.rows).toMatchObject([
      { line: 2, path: 'a.bin', size: 16384, digests: { crc32: '12345678', md5: MD5 } },
      { line: 3, path: '__proto__', label: 'East', digests: { md5: MD5 } },
    ]);
    expect(reading.unused).toMatchObject([{ line: 4 }]);
  });

  it('as arrays under a header, as texts, in an object, and line by line', () => {
    expect(rows(`[["File","MD5"],["a.bin","${MD5}"]]`)).toEqual([['a.bin', { md5: MD5 }, null]]);
    expect(rows(`["${MD5}  a.bin"]`)).toEqual([['a.bin', { md5: MD5 }, null]]);
    expect(rows(`{"digest":1,"files":[{"path":"a.bin","md5":"${MD5}"}],"faults":[]}`)).toEqual([
      ['a.bin', { md5: MD5 }, null],
    ]);
    expect(rows(`{"path":"a.bin","md5":"${MD5}"}\n{"path":"b.bin","md5":"${MD5}"}\n`)).toHaveLength(
      2,
    );
  });

  it('that is broken is refused as a whole', () => {
    expect(() => read('[{"name": "a.bin",')).toThrow(/list: the list is JSON that cannot be read/);
    expect(() => read(`[{"name":"a","name":"b","md5":"${MD5}"}]`)).toThrow(/twice/);
  });
});

describe('the whole list', () => {
  it('may be UTF-16 with a byte order mark, or UTF-8 with one', () => {
    const text = `${MD5}  größe.bin\r\n`;
    const little = new Uint8Array(Buffer.from(`\ufeff${text}`, 'utf16le'));
    const big = new Uint8Array(Buffer.from(little).swap16());
    for (const bytes of [little, big, new TextEncoder().encode(`\ufeff${text}`)]) {
      expect(read(bytes)).toMatchObject({ rows: [{ line: 1, path: 'größe.bin' }], unused: [] });
    }
  });

  it('names the line that is not UTF-8 instead of changing it', () => {
    const bytes = new Uint8Array(Buffer.from(`${MD5}  gr\xf6\xdfe.bin\n${MD5}  b.bin\n`, 'latin1'));
    const reading = read(bytes);
    expect(reading.rows.map(({ path }) => path)).toEqual(['b.bin']);
    expect(reading.unused[0]?.reason.text).toMatch(/not UTF-8/);
  });

  it('is refused when it is binary, or larger than 4 MiB', () => {
    expect(() => read(new Uint8Array(100))).toThrow(/binary data/);
    expect(() => read(new Uint8Array((4 << 20) + 1).fill(10))).toThrow(/larger than 4 MiB/);
  });

  it('takes 4 MB of anything without throwing, in linear time', () => {
    // Quadratic time would be hours, so the test's own time limit tells.
    for (const piece of ['./', '|-', '\\\\', '"a\n']) {
      const length = piece.endsWith('\n') ? 200_000 : 4_000_000;
      for (const start of [`\\${MD5}  `, '|file|md5|\n', 'file,md5\n']) {
        expect(() => read(`${start}${piece.repeat(length / piece.length)}x`)).not.toThrow();
      }
    }
  });

  it('ends reading what is no list at all, and says so', () => {
    const { unused } = read(`no list\n${MD5}0  boot.bin\n`.repeat(10_000));
    expect(unused.length).toBeLessThanOrEqual(10_001);
    expect(unused.at(-1)?.reason.text).toMatch(/rest of it is not read/);
  });
});
