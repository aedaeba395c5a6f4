import { Mapping, Raw, type Node } from './document.js';
import type { Random } from './random.js';

/** What must come of a mutation. `open`: the result may be valid by chance. */
export type MustBe = 'error' | 'problem' | 'open';

/** Changes a faultless manifest in place; says what a reader must make of the result. */
export function mutateDocument(random: Random, document: Mapping): MustBe {
  const mutations: (() => MustBe)[] = [
    ...HEADERS.map((value) => () => {
      document.set('firmtally', value);
      return 'error' as const;
    }),
    () => {
      document.delete('firmtally');
      return 'error';
    },
    () => addUnknownKey(random, document),
    () => doubleAKey(random, document),
    () => nameUnknownId(random, document),
    () => badDigest(random, document),
    () => badPath(random, document),
    () => badSize(random, document),
    () => replaceAny(random, document),
    () => replaceAny(random, document),
    () => removeAny(random, document),
  ];
  return random.pick(mutations)();
}

const HEADERS: readonly Node[] = [0, 2, 1.5, -1, 'one', '2', true, null, [1], new Mapping([])];

const KEYS = [
  'x',
  'Path',
  'dump',
  'firmwares',
  'sise',
  '__proto__',
  'constructor',
  'md4',
  'a b',
  '',
];

function addUnknownKey(random: Random, document: Mapping): MustBe {
  const mapping = random.pick(mappingsOf(document));
  // In these any key is an id.
  const open = ['firmware', 'systems', 'loadouts'].some((key) => document.get(key) === mapping);
  const at = random.below(mapping.pairs.length + 1);
  mapping.pairs.splice(at, 0, [random.pick(KEYS), random.pick(VALUES)]);
  return open ? 'open' : 'problem';
}

function doubleAKey(random: Random, document: Mapping): MustBe {
  const mapping = random.pick(mappingsOf(document).filter((one) => one.pairs.length > 0));
  const [key, value] = random.pick(mapping.pairs);
  mapping.pairs.splice(random.below(mapping.pairs.length + 1), 0, [
    key,
    random.chance(0.5) ? value : random.pick(VALUES),
  ]);
  return 'error';
}

function nameUnknownId(random: Random, document: Mapping): MustBe {
  const systems = document.get('systems') as Mapping;
  const system = random.pick(systems.pairs)[1] as Mapping;
  random.oneOf(
    () => system.set('requires', ['no-such-firmware']),
    () => system.set('optional', ['no-such-firmware']),
    () => system.set('requires', [new Mapping([['any-of', ['no-such-firmware']]])]),
    () => document.set('loadouts', new Mapping([['pocket', ['no-such-system']]])),
  );
  return 'error';
}

function badDigest(random: Random, document: Mapping): MustBe {
  const dump = new Mapping([
    [
      random.pick(['crc32', 'md5', 'sha1', 'sha256']),
      random.pick<Node>([
        '',
        '0',
        '123456789',
        'xyzxyzxy',
        '0x123456',
        '1234567',
        new Raw('12345678 9'),
        7,
        true,
        null,
        [],
      ]),
    ],
  ]);
  anyFirmware(random, document).pairs.splice(
    0,
    Infinity,
    ['path', 'unlike/any other'],
    ['dumps', [dump]],
  );
  return 'error';
}

const BAD_PATHS = [
  '..',
  '../up',
  'a/../b',
  '/absolute',
  'C:\\x',
  'c:x',
  'back\\slash',
  'nul\0',
  '',
  '.',
  'a//b',
  'trailing/',
  './x',
];

function badPath(random: Random, document: Mapping): MustBe {
  const path = random.pick(BAD_PATHS);
  random.oneOf(
    () => anyFirmware(random, document).set('path', path),
    () => document.set('folder', path === '.' ? '..' : path),
    () => anyFirmware(random, document).set('folder', path === '.' ? '..' : path),
  );
  return 'error';
}

function badSize(random: Random, document: Mapping): MustBe {
  const size = random.pick<Node>([
    -1,
    1.5,
    'big',
    '',
    true,
    null,
    [],
    new Raw('1e400'),
    new Raw('.nan'),
    new Raw('9007199254740993'),
  ]);
  const dump = new Mapping([
    ['size', size],
    ['crc32', '00000000'],
  ]);
  anyFirmware(random, document).pairs.splice(
    0,
    Infinity,
    ['path', 'unlike/any other'],
    ['dumps', [dump]],
  );
  return 'error';
}

function anyFirmware(random: Random, document: Mapping): Mapping {
  return random.pick((document.get('firmware') as Mapping).pairs)[1] as Mapping;
}

const VALUES: readonly Node[] = [
  null,
  true,
  false,
  0,
  1,
  -1,
  1.5,
  1e300,
  '',
  'text',
  '\0',
  '\ud800',
  'a'.repeat(5000),
  [],
  [[]],
  new Mapping([]),
  new Mapping([['a', 1]]),
  ['x', 'x'],
  new Raw('~'),
];

/** Puts another value somewhere. */
function replaceAny(random: Random, document: Mapping): MustBe {
  const places = placesIn(document);
  random.pick(places)(random.pick(VALUES));
  return 'open';
}

function removeAny(random: Random, document: Mapping): MustBe {
  const mapping = random.pick(mappingsOf(document).filter((one) => one.pairs.length > 0));
  mapping.pairs.splice(random.below(mapping.pairs.length), 1);
  return 'open';
}

function mappingsOf(node: Node): Mapping[] {
  if (node instanceof Mapping)
    return [node, ...node.pairs.flatMap(([, value]) => mappingsOf(value))];
  return Array.isArray(node) ? node.flatMap(mappingsOf) : [];
}

/** A setter for every value in the document. */
function placesIn(node: Node): ((value: Node) => void)[] {
  if (node instanceof Mapping) {
    return node.pairs.flatMap((pair) => [
      (value: Node): void => {
        pair[1] = value;
      },
      ...placesIn(pair[1]),
    ]);
  }
  if (!Array.isArray(node)) return [];
  return node.flatMap((item, index) => [
    (value: Node): void => {
      node[index] = value;
    },
    ...placesIn(item),
  ]);
}
