import type { Random } from './random.js';

/** Ordinary names and such as people, other systems and attackers make. */
const ORDINARY = [
  'boot.bin',
  'Boot.Bin',
  'main.rom',
  'east',
  'firmware',
  'system',
  'b',
  'a.b.c',
  'disk image',
];

const ODD = [
  'stra\u00dfe.bin', // sharp s: its full folding is 'ss', its simple folding itself
  'STRA\u1e9eE.bin',
  'caf\u00e9.bin', // composed
  'cafe\u0301.bin', // decomposed
  'CAF\u00c9.bin',
  '\u212aelvin.bin', // KELVIN SIGN folds to k
  'kelvin.bin',
  '\u017ftart.bin', // LONG S folds to s
  '\u03a3\u03c3\u03c2.bin', // sigmas
  '\u0130.bin', // capital I with dot: no simple folding
  'i\u0307.bin',
  '\u01c5.bin', // titlecase digraph
  '\u13a0\uab70.bin', // Cherokee folds to upper case
  '\u{10400}.bin', // Deseret, beyond U+FFFF
  '\u{10428}.bin',
  '\ufb00.bin', // ligature ff
  '\uffee.bin', // sorts before U+10000 in UTF-8, after it in UTF-16
  '\u{1f300}',
  'line\nfeed',
  'escape\u001b[31m',
  '\u202eesrever',
  '\u200b',
  ' leading space',
  'trailing dot.',
  'con',
  '<b>bold</b>&amp;',
  "'; drop",
  '__proto__',
  'constructor',
  '-m',
  '#comment',
  '*alias',
  '!tag',
  '%directive',
  '...',
  'null',
  'true',
  '1e5',
  '0x10',
  '{{x}}',
  '"quoted"',
];

/** One path part. */
export function makeName(random: Random): string {
  if (random.chance(0.7)) return random.pick(ORDINARY);
  if (random.chance(0.8)) return random.pick(ODD);
  return random.pick(ODD) + random.pick(ORDINARY);
}

/** A relative path of one to three parts. */
export function makePath(random: Random): string {
  const parts = Array.from({ length: random.pick([1, 1, 1, 2, 2, 3]) }, () => makeName(random));
  // 'C:x' would be a drive letter; none of the names has one, but joined text could get one.
  return parts.join('/');
}

/** The same letters in another case, where there is one. */
export function changeCase(random: Random, text: string): string {
  return Array.from(text, (character) => {
    const other = random.pick([character.toLowerCase(), character.toUpperCase(), character]);
    // 'ß'.toUpperCase() is 'SS': another name, not another case of this one.
    return Array.from(other).length === 1 ? other : character;
  }).join('');
}

/** Ids as the manifest takes them: letters and digits of any script, then . _ + - too. */
const IDS = [
  'osprey',
  'kestrel',
  'boot',
  'x',
  '0',
  '1e5',
  '007',
  'null',
  'true',
  'no',
  'b\u00e4r',
  '\u{10400}a',
  'a.b',
  'constructor',
  'toString',
  'hasOwnProperty',
];

export function makeId(random: Random, taken: ReadonlySet<string>): string {
  for (;;) {
    const base = random.pick(IDS);
    const id = random.chance(0.4)
      ? base
      : `${base}${random.pick(['-', '_', '.', '+'])}${random.below(50)}`;
    if (!taken.has(id)) return id;
  }
}
