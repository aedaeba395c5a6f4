import { formatSumsLine, parseSums } from '@firmtally/core';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';

const MD5 = '0123456789abcdef0123456789abcdef';

describe('formatSumsLine (GNU coreutils manual, "md5sum invocation")', () => {
  it.each([
    ['plain', `${MD5}  plain\n`],
    ['a\\b', `\\${MD5}  a\\\\b\n`],
    ['a\nb', `\\${MD5}  a\\nb\n`],
    ['a\rb', `\\${MD5}  a\\rb\n`],
  ])('%j', (path, line) => {
    expect(formatSumsLine(MD5, path)).toBe(line);
  });

  it('escapes nothing when lines end in NUL', () => {
    expect(formatSumsLine(MD5, 'a\n\\', { zero: true })).toBe(`${MD5}  a\n\\\0`);
  });
});

describe('parseSums', () => {
  const entry = (line: number, path: string, digest = MD5, algorithm = 'md5'): object => {
    return { line, algorithm, digest, path };
  };

  it.each([
    ['two spaces', `${MD5}  a b`, 'a b'],
    ['binary marker', `${MD5} *a`, 'a'],
    ['one space, as md5sum -r writes it', `${MD5} a`, 'a'],
    ['third space belongs to the name', `${MD5}   a`, ' a'],
    ['leading blanks', ` \t${MD5}  a`, 'a'],
    ['upper case', `${MD5.toUpperCase()}  a`, 'a'],
    ['tag', `MD5 (a) = ${MD5}`, 'a'],
    ['tag without blanks, as OpenSSL writes it', `MD5(a)= ${MD5}`, 'a'],
    ['tag with brackets in the name', `MD5 (a (1) = b) = ${MD5}`, 'a (1) = b'],
    ['escaped tag', `\\MD5 (a\\nb) = ${MD5}`, 'a\nb'],
    ['backslash without the mark is a plain character', `${MD5}  a\\nb`, 'a\\nb'],
    ['CRLF', `${MD5}  a\r`, 'a'],
    ['byte order mark', `\ufeff${MD5}  a`, 'a'],
  ])('%s', (_, line, path) => {
    expect(parseSums(`${line}\n`)).toEqual({ entries: [entry(1, path)], problems: [] });
    expect(parseSums(new TextEncoder().encode(line))).toEqual({
      entries: [entry(1, path)],
      problems: [],
    });
  });

  it('knows the algorithm by the length', () => {
    const list = [8, 32, 40, 64].map((length) => `${'0'.repeat(length)}  f`).join('\n');
    const algorithms = parseSums(list).entries.map(({ algorithm }) => algorithm);
    expect(algorithms).toEqual(['crc32', 'md5', 'sha1', 'sha256']);
  });

  it('names every malformed line with its number, and skips only comments and empty lines', () => {
    const lines = [
      '# a comment',
      '',
      'free text',
      `${MD5}0  one digit too many`,
      MD5,
      `${MD5}  `,
      `\\${MD5}  a\\tb`,
      `\\${MD5}  a\\`,
      `SHA1 (a) = ${MD5}`,
      `BLAKE2b (a) = ${MD5}`,
      `MD5 (a) = ${MD5.slice(1)}g`,
      `${MD5}  a\0b`,
      `${MD5}  good`,
    ];
    const { entries, problems } = parseSums(lines.join('\n'));
    expect(entries).toEqual([entry(13, 'good')]);
    expect(problems.map(({ line }) => line)).toEqual([3, 4, 5, 6, 7, 8, 9, 10, 11, 12]);
    for (const { message } of problems) expect(message).toMatch(/^[^\n]{10,120}$/);
  });

  it('reads UTF-16 with a byte order mark, as PowerShell writes it', () => {
    const text = `\ufeff${MD5}  käfer\r\n`;
    const bytes = Buffer.from(text, 'utf16le');
    expect(parseSums(bytes).entries).toEqual([entry(1, 'käfer')]);
    expect(parseSums(Buffer.from(bytes).swap16()).entries).toEqual([entry(1, 'käfer')]);
  });

  it('keeps bytes that are not UTF-8', () => {
    const bytes = Buffer.concat([Buffer.from(`${MD5}  a`), Buffer.from([0xff, 0x0a])]);
    expect(parseSums(bytes).entries).toEqual([entry(1, 'a\udcff')]);
  });

  it('reads back every name that formatSumsLine writes', () => {
    const awkward = fc.constantFrom('\\', '\n', '\r', ' ', '*', '(', ')', '#', 'n', 'é', '🎮');
    const name = fc.string({ unit: awkward, minLength: 1, maxLength: 8 });
    fc.assert(
      fc.property(name, (path) => {
        expect(parseSums(formatSumsLine(MD5, path))).toEqual({
          entries: [entry(1, path)],
          problems: [],
        });
      }),
      { numRuns: 400, seed: 10 },
    );
  });

  it('takes any text without throwing, and accounts for every line', () => {
    const pieces = [
      MD5,
      'MD5',
      'a',
      ' ',
      '(',
      ')',
      '=',
      '*',
      '\\',
      '\r',
      '\n',
      '\t',
      '#',
      '\0',
      'é',
    ];
    const text = fc.string({ unit: fc.constantFrom(...pieces, '\ufeff', '\ud800'), maxLength: 60 });
    fc.assert(
      fc.property(text, (list) => {
        const { entries, problems } = parseSums(list);
        const counted = list
          .replace(/^\ufeff/u, '')
          .split('\n')
          .map((line) => line.replace(/\r$/, ''))
          .filter((line) => line !== '' && !line.startsWith('#'));
        expect(entries.length + problems.length).toBe(counted.length);
      }),
      { numRuns: 1000, seed: 11 },
    );
  });

  it('stops, and says so, after 10,000 malformed lines', () => {
    const { entries, problems } = parseSums('x\n'.repeat(50_000) + `${MD5}  a\n`);
    expect(entries).toEqual([]);
    expect(problems).toHaveLength(10_001);
    expect(problems.at(-1)).toMatchObject({
      line: 10_001,
      message: expect.stringContaining('not read') as string,
    });
  });

  it('reads an escaped name however long', () => {
    const name = 'x'.repeat(20 << 20);
    const { entries, problems } = parseSums(`\\${'0'.repeat(32)}  ${name}\\n\n`);
    expect(problems).toEqual([]);
    expect(entries.map(({ path }) => path === `${name}\n`)).toEqual([true]);
  });

  it('reads hostile lines of 4 MB in linear time', () => {
    // Quadratic time would be hours, so the test's own time limit tells.
    for (const piece of [')=', '(', 'a ', '\\', ' ', '0', '\\n', 'MD5 (', ') = ']) {
      const line = piece.repeat(4_000_000 / piece.length);
      expect(parseSums(`MD5 (${line} `).problems).toHaveLength(1);
      expect(parseSums(`${line}x `).problems.length).toBeLessThanOrEqual(1);
    }
  });
});
