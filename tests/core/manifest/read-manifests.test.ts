import { createHash } from 'node:crypto';
import { MAX_MANIFEST_BYTES, readManifests, type ManifestResult } from '@firmtally/core';
import { describe, expect, it } from 'vitest';

/** Reads texts as a.yaml, b.yaml, … */
function read(...texts: readonly (string | Uint8Array)[]): Promise<ManifestResult> {
  return readManifests(
    texts.map((text, index) => ({
      path: `${String.fromCharCode(97 + index)}.yaml`,
      bytes: typeof text === 'string' ? new TextEncoder().encode(text) : text,
    })),
  );
}

async function rules(...texts: readonly (string | Uint8Array)[]): Promise<string[]> {
  return (await read(...texts)).problems.map(({ rule }) => rule);
}

const digest = (value: string): string =>
  `firmtally: 1\nfirmware: {a: {path: a, dumps: [{${value}}]}}\nsystems: {s: {requires: [a]}}\n`;

describe('what is read', () => {
  it.each([
    // Each of these is a number, or loses digits, in the core schema of YAML 1.2.2, 10.3.2.
    ['crc32', '00001234'],
    ['crc32', '12345678'],
    ['crc32', '1e100000'],
    ['crc32', '1E000005'],
    ['md5', '00112233445566778899001122334455'],
    ['sha1', '1234567890123456789012345678901234567890'],
    ['sha256', '1234567890'.repeat(6) + '1e55'],
  ])('the %s %s as it was written, quoted or not', async (algorithm, text) => {
    for (const written of [text, `'${text}'`, `"${text}"`]) {
      const { manifest } = await read(digest(`${algorithm}: ${written}`));
      expect(manifest?.firmware.get('a')?.dumps[0]?.digests).toEqual({
        [algorithm]: text.toLowerCase(),
      });
    }
  });

  it('sizes up to 2^53 - 1', async () => {
    const { manifest } = await read(digest('size: 9007199254740991, crc32: 1c2d3e4f'));
    expect(manifest?.firmware.get('a')?.dumps[0]?.size).toBe(Number.MAX_SAFE_INTEGER);
  });

  it('JSON escapes, surrogate pairs among them (RFC 8259, 7)', async () => {
    const { manifest } = await read('{"firmtally":1,"title":"\\ud83e\\udd85\\u00e9\\/\\"\\\\\\t"}');
    expect(manifest?.sources[0]?.title).toBe('🦅é/"\\\t');
  });

  it('defaults', async () => {
    const { manifest } = await read(
      'firmtally: 1\nfirmware: {a: {path: x/a, dumps: [{crc32: 1C2D3E4F}]}}\nsystems: {s: {requires: [a], folders: [{path: ., pictures: {folder: art, extensions: [PNG]}}]}}',
    );
    expect(manifest?.firmware.get('a')).toEqual({
      id: 'a',
      path: 'x/a',
      folder: null,
      defaultFolder: '',
      case: 'exact',
      note: null,
      dumps: [
        {
          label: '#1',
          size: null,
          digests: { crc32: '1c2d3e4f' },
          location: { file: 'a.yaml', line: 2, column: 35, endLine: 2, endColumn: 52 },
        },
      ],
      members: null,
      location: { file: 'a.yaml', line: 2, column: 12, endLine: 2, endColumn: 13 },
    });
    expect(manifest?.systems.get('s')).toMatchObject({
      name: 's',
      optional: [],
      case: 'exact',
      folders: [
        { path: '', atLeast: 1, extensions: [], pictures: { folder: 'art', extensions: ['png'] } },
      ],
    });
  });

  it('ids that are names of object members', async () => {
    const { manifest } = await read(
      '{"firmtally":1,"systems":{"constructor":{},"toString":{"optional":["hasOwnProperty"]}},"firmware":{"hasOwnProperty":{"path":"__proto__"}}}',
    );
    expect([...(manifest?.systems.keys() ?? [])]).toEqual(['constructor', 'toString']);
    expect(Object.getPrototypeOf({})).toBe(Object.prototype);
    expect(({} as Record<string, unknown>)['path']).toBeUndefined();
  });
});

describe('several files', () => {
  it('merge, with ids in the order of their UTF-8 bytes', async () => {
    const { manifest, problems } = await read(
      'firmtally: 1\nfolder: one\nfirmware: {\u{10000}: {path: x}, b: {path: b}}\n',
      'firmtally: 1\ncase: ignore\nfirmware: {\uff41: {path: y}, a: {path: a}}\nsystems: {s: {requires: [a, b, \uff41, \u{10000}]}}\n',
    );
    expect(problems).toEqual([]);
    // U+FF41 is EF BD 81, U+10000 is F0 90 80 80 (RFC 3629, 3); UTF-16 units would sort them the other way.
    expect([...(manifest?.firmware.keys() ?? [])]).toEqual(['a', 'b', '\uff41', '\u{10000}']);
    expect(manifest?.firmware.get('b')).toMatchObject({ defaultFolder: 'one', case: 'exact' });
    expect(manifest?.firmware.get('a')).toMatchObject({ defaultFolder: '', case: 'ignore' });
  });

  it('carry the SHA-256 of their bytes', async () => {
    const texts = ['firmtally: 1\n', '\ufefffirmtally: 1\r\ntitle: T\r\n'];
    const { manifest } = await read(...texts);
    expect(manifest?.sources).toEqual(
      texts.map((text, index) => ({
        path: index === 0 ? 'a.yaml' : 'b.yaml',
        sha256: createHash('sha256').update(text).digest('hex'),
        title: index === 0 ? null : 'T',
      })),
    );
  });

  it('are reported in the order given, whatever is found when', async () => {
    const { problems } = await read(
      'firmtally: 1\nsystems: {s: {requires: [x]}}\n',
      'firmtally: 2',
    );
    expect(problems.map(({ file }) => file)).toEqual(['a.yaml', 'b.yaml']);
  });

  it('are not called incomplete because of one that is damaged', async () => {
    expect(await rules('firmtally: 1\nsystems: {s: {requires: [x]}}\n', 'firmware: "')).toEqual([
      'yaml-syntax',
    ]);
  });
});

describe('hostile files', () => {
  it('larger than the limit', async () => {
    expect(await rules(new Uint8Array(MAX_MANIFEST_BYTES + 1).fill(0x20))).toEqual(['too-large']);
    expect(await rules(`firmtally: 1\n#${' '.repeat(MAX_MANIFEST_BYTES - 14)}`)).toEqual([]);
  });

  it.each([
    ['brackets', '['.repeat(1_000_000)],
    ['maps', '{a: '.repeat(500_000)],
    ['dashes on one line', '- '.repeat(1_000_000)],
    ['question marks on one line', '? '.repeat(1_000_000)],
    ['JSON', '{"a":'.repeat(500_000)],
    ['indents', Array.from({ length: 2000 }, (_, level) => `${' '.repeat(level)}a:`).join('\n')],
  ])('nested without end: %s', async (_name, text) => {
    // Begun as a manifest, so that it is looked at.
    const begun = text.startsWith('{"')
      ? text.replace('"a"', '"firmtally"')
      : `# firmtally: 1\n${text}`;
    expect(await rules(begun)).toEqual(['too-deep']);
  });

  it('aliases that double themselves', async () => {
    const lines = Array.from({ length: 60 }, (_, n) =>
      n === 0 ? 'a0: &a0 [x]' : `a${n}: &a${n} [*a${n - 1}, *a${n - 1}]`,
    );
    expect(await rules(lines.join('\n'))).toEqual(['alias-limit']);
  });

  // Found by the fuzzer: four million visits, each with a search for the nearest name.
  it('aliases that lead nowhere, in a list that is repeated', async () => {
    const list = (item: string): string => `[${Array.from({ length: 2000 }, () => item).join()}]`;
    const found = await rules(`# firmtally: 1\na: &a ${list('*x ')}\nb: ${list('*a ')}\n`);
    expect(found.filter((rule) => rule === 'unknown-alias')).toHaveLength(2000);
    expect(found).toContain('alias-limit');
  });

  it('a repeated alias means the anchor before it where it stands (YAML 1.2.2, 7.1)', async () => {
    const { manifest } = await read(
      [
        'firmtally: 1',
        'firmware:',
        '  a: {path: &p a, note: &n first}',
        '  b: {path: b, dumps: &d [{label: *n, crc32: 1c2d3e4f}]}',
        '  c: {path: c, note: &n second, dumps: *d}',
        'systems: {s: {name: *n, requires: [a, b, c]}}',
      ].join('\n'),
    );
    expect(manifest?.firmware.get('c')?.dumps[0]?.label).toBe('first');
    expect(manifest?.systems.get('s')?.name).toBe('second');
  });

  it('a message stays short however long the text it is about', async () => {
    const { problems } = await read(
      `firmtally: 1\n${'k'.repeat(900)}: 1\ncase: ${'v'.repeat(1e6)}\n`,
    );
    expect(problems.map(({ rule }) => rule)).toEqual(['unknown-key', 'wrong-value']);
    for (const { message } of problems) expect(message.length).toBeLessThan(400);
  });

  it('thousands of unknown names do not each take a search through thousands', async () => {
    const ids = Array.from({ length: 5_000 }, (_, n) => `firmware-${n}`);
    const text = JSON.stringify({
      firmtally: 1,
      firmware: Object.fromEntries(ids.map((id) => [id, { path: id }])),
      systems: { s: { requires: ids.map((id) => `x${id}`) } },
    });
    const { problems } = await read(text);
    const unknown = problems.filter(({ rule }) => rule === 'unknown-firmware');
    expect(unknown).toHaveLength(ids.length);
    expect(unknown[0]?.suggestion).toBe('firmware-0');
  });
});

describe('more problems than are kept', () => {
  const keys = Array.from({ length: 10_001 }, (_, index) => `k${index}: 1\n`).join('');
  const unused = Array.from({ length: 10_001 }, (_, n) => `  f${n}: {path: f${n}}\n`).join('');

  it('10,000 errors, and one that says so where the next stands', async () => {
    const { manifest, problems } = await read(`firmtally: 1\n${keys}`);
    expect(manifest).toBeNull();
    expect(problems).toHaveLength(10_001);
    expect(problems.at(-1)).toMatchObject({
      rule: 'too-many-problems',
      severity: 'error',
      line: 10_002,
    });
  });

  it('warnings are counted apart, and too many are no error', async () => {
    const { manifest, problems } = await read(`firmtally: 1\nfirmware:\n${unused}`);
    expect(manifest).not.toBeNull();
    expect(problems).toHaveLength(10_001);
    expect(problems.at(-1)).toMatchObject({ rule: 'too-many-problems', severity: 'warning' });
  });
});

describe('what is said once', () => {
  it.each([
    ['report', { report: 1, tool: {}, systems: [] }],
    ['plan', { plan: 1, tool: {}, steps: [] }],
    ['validation', { validation: 1, problems: [] }],
    ['identification', { identification: 1, tool: {}, files: [], faults: [], totals: {} }],
    ['digest', { digest: 1, tool: {}, files: [], faults: [] }],
  ])('that a document is a Firmtally %s', async (noun, document) => {
    const { problems } = await read(JSON.stringify(document));
    expect(problems.map(({ message }) => message)).toEqual([
      `This is the JSON of a Firmtally ${noun}, not a manifest.`,
    ]);
  });

  it.each([
    ['a log', '2026-01-02 03:04:05 part 20260102 begun\n'],
    ['a history of changes', `commit ${'0123456789'.repeat(4)}\nAuthor: somebody\n`],
    ['digests alone', `${'0123456789abcdef'.repeat(2)}\n`],
    ['a manifest just begun', 'firmtally: 1\n# osprey_boot.bin 1c2d3e4f\n'],
    [
      'a manifest on one line',
      "{folder: bios, 'firmware': {a: {path: a.bin, dumps: [{crc32: 1c2d3e4f}]}}, firmtally: 1}",
    ],
    ['a manifest on one line, just begun', '{title: osprey_boot.bin 1c2d3e4f}'],
    ['a part of a manifest', '- path: osprey_boot.bin\n  dumps: [{crc32: 1c2d3e4f}]\n'],
  ])('that %s is no list', async (_name, text) => {
    expect(await rules(text)).not.toContain('posted-list');
  });

  it('a NUL, not also what it makes of its line', async () => {
    expect(await rules('firmtally: 1\n\0\n')).toEqual(['control-character']);
  });

  it('a number is called one', async () => {
    const { problems } = await read('firmtally: 1\nloadouts: 3\n');
    expect(problems[0]?.message).toMatch(/but is a number\.$/);
    const quoted = await read('firmtally: 1\nloadouts: "3"\n');
    expect(quoted.problems[0]?.message).toMatch(/but is text\.$/);
  });
});

describe('names that are composed in two ways (UAX #15)', () => {
  const two = (first: string, second: string): string =>
    `firmtally: 1
firmware:
  a: {path: ${first}, dumps: [{crc32: '11111111'}]}
  b: {path: ${second}, dumps: [{crc32: '${first === second ? '11111111' : '22222222'}'}]}
systems: {s: {requires: [a, b]}}
`;

  it('are one path, as where files are looked up, and differ in no letter case', async () => {
    expect(await rules(two('"caf\\u00e9.bin"', '"cafe\\u0301.bin"'))).toEqual(['path-conflict']);
    expect(await rules(two('"caf\\u00e9.bin"', '"CAFE\\u0301.bin"'))).toEqual(['case-clash']);
  });
});
