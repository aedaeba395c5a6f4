import { FirmtallyError, formatProblems, readList, readManifests } from '@firmtally/core';
import { growth, MOST_GROWTH } from '../support/growth.js';
import { check } from './check.js';
import { Random } from './random.js';

/** What a unit is made of; `#` becomes the number of the unit. */
const PIECES = [
  ...['[', ']', '{', '}', ', ', ': ', ' - ', '- ', '? ', '| ', '> ', '# ', '"', "'", '\n', '\n  '],
  ...['&n# ', '*n# ', '*n ', '!t ', '<<: ', '%', '---\n', '\t', '\\', '\u0001', '\u00e9'],
  ...['a#', 'k#: ', 'a', '_', '0', '0x', '-', '/', 'a/', '..', ' (1)', '1,024'],
  ...['path: ', 'dumps: [', 'any-of: [', 'crc32: ', 'size: ', 'members: ', 'requires: [', '~'],
  ...['{path: f#}, ', '{md5: 000#}, ', '"a#",', 'a#: {path: a#}\n  '],
];

/** What goes before the units, and after. */
const FRAMES: readonly (readonly [string, string])[] = [
  ['', ''],
  ['firmtally: 1\n', ''],
  ['firmtally: 1\nfirmware:\n  ', '\n'],
  ['firmtally: 1\nfirmware: {', '}\n'],
  ['firmtally: 1\nfirmware: {a: {path: a, dumps: [', ']}}\n'],
  ['firmtally: 1\nfirmware: {a: {path: a, dumps: [{size: ', 'x}]}}\n'],
  ['firmtally: 1\nfirmware: {a: {path: "', '"}}\nsystems: {s: {requires: [a]}}\n'],
  ['firmtally: 1\nfirmware: {a: {path: a}}\nsystems: {s: {requires: [', ']}}\n'],
  ['firmtally: 1\nsystems: {s: {requires: ["', 'c"]}}\n'],
  ['{"firmtally": 1, "systems": {"s": {"requires": [', '""]}}}\n'],
  ['firmtally: 1\nloadouts:\n  ', '\n'],
  ['firmtally: 1\nx: &n [', ']\ny: *n\n'],
];

/** The same again and again, four times as often: it must not take more than six times as long. */
export async function growingManifestCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const make = growingText(random);
  const grows = await growth((n) => read(make(n)), 400);
  check(grows <= MOST_GROWTH, 'time that grows as the text does', { grows, text: make(3) });
}

function growingText(random: Random): (n: number) => string {
  const [before, after] = random.pick(FRAMES);
  const unit = Array.from({ length: random.between(1, 6) }, () => random.pick(PIECES)).join('');
  return (n) =>
    before +
    Array.from({ length: n }, (_, index) => unit.replaceAll('#', String(index))).join('') +
    after;
}

async function read(text: string): Promise<void> {
  const bytes = Buffer.from(text);
  const { problems } = await readManifests([{ path: 'm.yaml', bytes }]);
  formatProblems(problems, new Map([['m.yaml', bytes]]));
}

const LIST_PIECES = [
  ...[
    '00112233445566778899aabbccddeeff',
    '1c2d3e4f',
    '  ',
    ' *',
    ' ',
    '\t',
    ', ',
    ',',
    ';',
    '|',
    '"',
  ],
  ...[
    'a#.bin',
    'a',
    './',
    '\\',
    '\\\\',
    '`',
    '[a](b)',
    '**',
    '-',
    '(',
    ')',
    ' = ',
    'MD5',
    'size: ',
  ],
  ...[
    '16,384',
    '512 KB',
    '\n',
    '\n\n',
    '|--|--|\n',
    'file,md5\n',
    '{"name":"a#","md5":"0"},',
    '; x\n',
  ],
];

/** The same of a posted list. */
export async function growingListCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const before = random.pick([
    '',
    'file,md5\n',
    '|file|md5|\n|--|--|\n',
    '[',
    'MD5 (',
    '; x\n',
    'a.bin ',
  ]);
  const unit = Array.from({ length: random.between(1, 6) }, () => random.pick(LIST_PIECES)).join(
    '',
  );
  const make = (n: number): string =>
    before + Array.from({ length: n }, (_, index) => unit.replaceAll('#', String(index))).join('');
  // eslint-disable-next-line @typescript-eslint/require-await -- what is measured is asynchronous by contract
  const grows = await growth(async (n) => {
    try {
      readList('list', Buffer.from(make(n)));
    } catch (error) {
      // Broken JSON is refused as a whole.
      if (!(error instanceof FirmtallyError)) throw error;
    }
  }, 400);
  check(grows <= MOST_GROWTH, 'time that grows as the list does', { grows, text: make(3) });
}
