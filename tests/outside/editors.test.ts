/**
 * Manifests as people write them in an editor: yaml-language-server, which the
 * YAML extensions of most editors start, with our schema. What it says of a
 * wrong manifest, what it offers, and what it explains.
 */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { readManifests, schemaText } from '@firmtally/core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { firmtally } from '../support/cli.js';
import { LanguageServer, type Diagnostic } from '../support/language-server.js';
import { tempFolder } from '../support/temp.js';

const FILE = 'firmtally-manifest.schema.json';
const folder = mkdtempSync(join(tmpdir(), 'firmtally-test-'));
const schemaFile = join(folder, FILE);

let server: LanguageServer;
beforeAll(async () => {
  writeFileSync(schemaFile, schemaText('manifest'));
  server = await LanguageServer.start({ [pathToFileURL(schemaFile).href]: ['*.firmtally.yaml'] });
});
afterAll(async () => {
  await server.stop();
  rmSync(folder, { recursive: true });
});

let count = 0;

function freshUri(): string {
  return pathToFileURL(join(folder, `${String(++count)}.firmtally.yaml`)).href;
}

const ONE = 'firmtally: 1\n';
const ENTRY = `${ONE}firmware:\n  osprey-boot: `;
const DUMP = `${ENTRY}{path: a.bin, dumps: [`;
const ZIP = `${ENTRY}{path: a.zip, members: `;
const SYSTEM = `${ONE}systems:\n  osprey: `;
const LOADOUT = `${ONE}loadouts:\n  pocket: `;

const ID = 'An id starts with a letter or digit and goes on with letters, digits and . _ + -';
const FOLDER = 'A folder is relative, stays inside the root and separates names with /';
const PATH = 'A path is relative, stays inside its folder and separates names with /';
const REQUIRES = 'requires is a list of firmware ids, like this: [first-id, second-id]';

/** A wrong manifest -> what begins where the editor marks, and how its one sentence begins. */
const WRONG: readonly (readonly [text: string, marked: string, said: string])[] = [
  ['firmtally: 2\n', '2', 'A manifest starts with: firmtally: 1'],
  ['title: x\n', 'title', 'A manifest has the keys firmtally, title, folder, case, firmware,'],
  [
    `${ONE}titel: x\n`,
    'titel',
    'A manifest has the keys firmtally, title, folder, case, firmware,',
  ],
  [`${ONE}title: [x]\n`, '[x]', 'title is text, as in: '],
  [`${ONE}case: upper\n`, 'upper', 'case can be exact or ignore.'],
  [`${ONE}folder: ../x\n`, '../x', FOLDER],
  [
    `${ONE}firmware:\n  - path: a.bin\n`,
    '- path: a.bin',
    'firmware is a map: each entry stands under an',
  ],
  [`${ONE}systems: [osprey]\n`, '[osprey]', 'systems is a map: each system stands under an id'],
  [`${ONE}loadouts: [osprey]\n`, '[osprey]', 'loadouts is a map: each stands under an id of'],
  [`${ONE}firmware:\n  a b: {path: a.bin}\n`, 'a b', ID],
  [`${ENTRY}a.bin\n`, 'a.bin', 'A firmware is a map with path, and folder, note, and dumps or'],
  [`${ENTRY}{file: a.bin}\n`, 'osprey-boot', 'A firmware is a map with path, and folder, note,'],
  [`${ENTRY}{path: a\\b.bin}\n`, 'a\\b.bin', PATH],
  [`${ENTRY}{path: /a.bin}\n`, '/a.bin', PATH],
  [`${ENTRY}{path: [a.bin]}\n`, '[a.bin]', 'path is text, one path only, as in: osprey_boot.bin'],
  [
    `${ENTRY}{path: a.bin, dumps: {size: 5}}\n`,
    '{size: 5}',
    'dumps is a list: put a dash and a space',
  ],
  [`${DUMP}{label: B}]}\n`, '{label: B}', 'A dump needs a digest (crc32, md5, sha1 or sha256), or'],
  [
    `${DUMP}1c2d3e4f]}\n`,
    '1c2d3e4f',
    'A dump is a map of label, size, crc32, md5, sha1 and sha256',
  ],
  [
    `${DUMP}{crc: 1c2d3e4f, size: 5}]}\n`,
    'crc',
    'A dump is a map of label, size, crc32, md5, sha1',
  ],
  [`${DUMP}{crc32: 1c2d}]}\n`, '1c2d', 'This digest has 8 hex digits: 0-9 and a-f'],
  [`${DUMP}{md5: 1c2d3e4f}]}\n`, '1c2d3e4f', 'This digest has 32 hex digits: 0-9 and a-f'],
  [`${DUMP}{size: 16 KB}]}\n`, '16 KB', 'size is a whole number of bytes in plain decimal digits'],
  [`${DUMP}{size: "5"}]}\n`, '"5"', 'size is a whole number of bytes in plain decimal digits'],
  [`${ZIP}[{path: k1.rom}]}\n`, '{path: k1.rom}', 'A member is a map with path and dumps, as in:'],
  [
    `${ZIP}{path: k1.rom}}\n`,
    '{path: k1.rom}',
    'members is a list: put a dash and a space (- ) in',
  ],
  [
    `${ZIP}[{path: k, dumps: [{size: 5}]}], dumps: [{size: 5}]}\n`,
    'dumps',
    'A ZIP is judged by its members',
  ],
  [
    `${SYSTEM}{needs: [a]}\n`,
    'needs',
    'A system is a map with name, requires, optional and folders',
  ],
  [`${SYSTEM}{requires: a}\n`, 'a', REQUIRES],
  [`${SYSTEM}{requires: {any-of: [a, b]}}\n`, '{any-of: [a, b]}', REQUIRES],
  [`${SYSTEM}{requires: [{any-of: a}]}\n`, 'a', 'any-of is a list of firmware ids, like this:'],
  [`${SYSTEM}{requires: [a b]}\n`, 'a b', ID],
  [
    `${SYSTEM}{folders: games}\n`,
    'games',
    'folders is a list of maps: put a dash and a space (- )',
  ],
  [`${SYSTEM}{folders: [games]}\n`, 'games', 'A folder check is a map with path, and holds and'],
  [
    `${SYSTEM}{folders: [{path: g, holds: {at-least: many}}]}\n`,
    'many',
    'at-least is a whole number',
  ],
  [
    `${SYSTEM}{folders: [{path: g, holds: {extensions: [.osp]}}]}\n`,
    '.osp',
    'A file name ending is written',
  ],
  [`${LOADOUT}osprey\n`, 'osprey', 'A loadout is a list of system ids, or a map with systems'],
  [`${LOADOUT}{name: x}\n`, 'pocket', 'A loadout is a list of system ids, or a map with systems'],
  [`${LOADOUT}{systems: [osprey], content: {games: /roms}}\n`, '/roms', FOLDER],
];

describe('what an editor says of a wrong manifest', () => {
  let found: readonly (readonly Diagnostic[])[] = [];
  beforeAll(async () => {
    found = await Promise.all(WRONG.map(([text]) => server.open(freshUri(), text)));
  });

  it.each(WRONG.map((row, index) => [row[0], index] as const))('%j', async (text, index) => {
    const [, marked, said] = WRONG[index] ?? ['', '', ''];
    const [first, ...others] = found[index] ?? [];
    expect(first?.message.slice(0, said.length)).toBe(said);
    expect(fromMark(text, first).slice(0, marked.length)).toBe(marked);
    expect(others).toEqual([]);
    const { manifest } = await readManifests([
      { path: 'm', bytes: new TextEncoder().encode(text) },
    ]);
    expect(manifest).toBeNull();
  });

  it('is nothing of a sound one', async () => {
    const text = `${DUMP}{label: B, size: 5, crc32: 1c2d3e4f}]}\nsystems: {osprey: {requires: [osprey-boot]}}\n`;
    expect(await server.open(freshUri(), text)).toEqual([]);
  });
});

/** The text from where the mark begins: of a map that lacks something only its start is marked. */
function fromMark(text: string, diagnostic: Diagnostic | undefined): string {
  const { line, character } = diagnostic?.range.start ?? { line: Infinity, character: 0 };
  return text.split('\n').slice(line).join('\n').slice(character);
}

/** The document without its mark, and where that was. */
function atMark(marked: string): {
  readonly text: string;
  readonly position: { line: number; character: number };
} {
  const before = marked.slice(0, marked.indexOf('\u2038')).split('\n');
  return {
    text: marked.replace('\u2038', ''),
    position: { line: before.length - 1, character: (before.at(-1) ?? '').length },
  };
}

describe('what an editor offers', () => {
  const ROOT = [
    '$schema',
    'firmtally',
    'title',
    'folder',
    'case',
    'firmware',
    'systems',
    'loadouts',
  ];
  it.each<[where: string, marked: string, labels: readonly string[]]>([
    ['at the start', '\u2038\n', ROOT],
    ['as a case', `${ONE}case: \u2038\n`, ['exact', 'ignore']],
    ['for a first entry', `${ONE}firmware:\n  \u2038\n`, ['firmware']],
    [
      'in an entry',
      `${ENTRY}\n    path: a.bin\n    \u2038\n`,
      ['folder', 'note', 'dumps', 'members'],
    ],
    [
      'in a dump',
      `${ENTRY}\n    path: a.bin\n    dumps:\n      - size: 5\n        \u2038\n`,
      ['label', 'crc32', 'md5', 'sha1', 'sha256'],
    ],
    ['for a first system', `${ONE}systems:\n  \u2038\n`, ['system']],
    ['in a system', `${SYSTEM}\n    \u2038\n`, ['name', 'requires', 'optional', 'folders']],
    [
      'in a folder check',
      `${SYSTEM}\n    folders:\n      - path: games\n        \u2038\n`,
      ['holds', 'pictures'],
    ],
    ['in a loadout', `${LOADOUT}\n    \u2038\n`, ['name', 'systems', 'folder', 'content']],
  ])('%s', async (_where, marked, labels) => {
    const { text, position } = atMark(marked);
    const uri = freshUri();
    await server.open(uri, text);
    const { items } = (await server.request('textDocument/completion', {
      textDocument: { uri },
      position,
    })) as { readonly items: readonly { readonly label: string }[] };
    expect(items.map(({ label }) => label)).toEqual(expect.arrayContaining([...labels]));
  });
});

describe('what an editor explains', () => {
  const TEXT = `${ONE}folder: bios
firmware:
  osprey-boot:
    path: a.bin
    dumps:
      - size: 5
        crc32: 1c2d3e4f
systems:
  osprey:
    requires: [osprey-boot]
loadouts:
  pocket: [osprey]
`;
  it.each([
    ['firmtally', 'Version of this format'],
    ['folder', 'Folder that firmware paths start from'],
    ['firmware', 'Every expected file, by an id'],
    ['osprey-boot', 'One expected file. Give `dumps`, or `members` for a ZIP'],
    ['path', 'Where the file belongs, relative to the folder'],
    ['dumps', 'any one of them will do'],
    ['size', 'Size in bytes'],
    ['crc32', 'CRC-32, 8 hex digits'],
    ['systems', 'What should be ready to use'],
    ['requires', 'Firmware ids, each needed'],
    ['pocket', 'A list of system ids, or the same with a name and folders'],
  ])('%s', async (key, said) => {
    const { text, position } = atMark(TEXT.replace(`${key}:`, `\u2038${key}:`));
    const uri = freshUri();
    await server.open(uri, text);
    const hover = (await server.request('textDocument/hover', {
      textDocument: { uri },
      // In the key: just before it the part that ends there is meant.
      position: { ...position, character: position.character + 1 },
    })) as { readonly contents: { readonly value: string } } | null;
    expect(hover?.contents.value).toContain(said);
  });
});

describe('a drafted manifest', () => {
  it('names the schema that lies beside it, and without that is told so', async () => {
    const cwd = tempFolder();
    mkdirSync(join(cwd, 'osprey'));
    writeFileSync(join(cwd, 'osprey', 'a.bin'), 'invented');
    const { stdout } = await firmtally(['draft', 'osprey'], { cwd });
    const broken = stdout.replace('firmware:', 'firmwares:');
    expect(broken).toContain(`firmtally schema manifest -o ${FILE}\n`);
    const uriOf = (name: string): string => pathToFileURL(join(cwd, name)).href;
    // In another folder, as the server remembers what it could not load.
    const elsewhere = pathToFileURL(join(cwd, 'elsewhere', 'alone.yaml')).href;
    const [alone] = await server.open(elsewhere, broken);
    expect(alone?.message).toMatch(
      /^Unable to load schema from .*firmtally-manifest\.schema\.json/,
    );
    expect((await firmtally(['schema', 'manifest', '-o', FILE], { cwd })).code).toBe(0);
    const [beside] = await server.open(uriOf('beside.yaml'), broken);
    expect(beside?.message).toMatch(/^A manifest has the keys firmtally/);
    const [keyed] = await server.open(uriOf('keyed.yaml'), `$schema: ./${FILE}\nfirmtally: 2\n`);
    expect(keyed?.message).toBe('A manifest starts with: firmtally: 1');
  });
});
