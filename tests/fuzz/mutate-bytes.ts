import type { Random } from './random.js';

const PIECES = [
  '\ufeff',
  '\0',
  '\u0001',
  '\u0085',
  '\u2028',
  '\r',
  '\r\n',
  '\n',
  '\t',
  ' ',
  ':',
  ': ',
  '- ',
  '? ',
  '#',
  ' #',
  '&a',
  '*a',
  '*b',
  '!',
  '!!',
  '!!binary ',
  '!!set ',
  '!<tag:x>',
  '%YAML 1.1\n',
  '%TAG ! x\n',
  '---\n',
  '...\n',
  '{',
  '}',
  '[',
  ']',
  ',',
  '"',
  "'",
  '|',
  '|+9\n',
  '>',
  '>-\n',
  '<<',
  '<<: *a',
  '@',
  '`',
  '\\',
  '\\u',
  '\\x0',
  '\\ud800',
  '__proto__',
  'constructor',
  '0x',
  '0o',
  '1e999',
  '.inf',
  '.nan',
  '~',
  'null',
  '2001-01-01',
  '\ud83d',
  '\u202e',
].map((text) => Buffer.from(text));

/** Bytes that are no UTF-8, or only just. */
const BAD = [
  [0xff],
  [0xfe, 0xff],
  [0xff, 0xfe],
  [0xc0, 0xaf],
  [0xed, 0xa0, 0x80],
  [0xf4, 0x90, 0x80, 0x80],
  [0xe2, 0x82],
  [0x80],
].map((bytes) => Buffer.from(bytes));

/** A few changes at the level of bytes: flips, cuts, copies, insertions. */
export function mutateBytes(
  random: Random,
  bytes: Buffer,
  insert: readonly Buffer[] = [...PIECES, ...BAD],
): Buffer {
  let result = bytes;
  const times = random.pick([1, 1, 1, 2, 3, 8]);
  for (let time = 0; time < times; time++) {
    const at = random.below(result.length + 1);
    const to = Math.min(result.length, at + random.pick([1, 1, 2, 5, 20, 200]));
    const head = result.subarray(0, at);
    const tail = result.subarray(at);
    result = random.oneOf(
      () => Buffer.concat([head, random.pick(insert), tail]),
      () => Buffer.concat([head, random.pick(insert), tail]),
      () => Buffer.concat([head, result.subarray(to)]),
      () => Buffer.concat([result.subarray(0, to), tail]),
      () => head,
      () => {
        const copy = Buffer.from(result);
        if (at < copy.length)
          copy[at] = random.pick([random.below(256), (copy[at] ?? 0) ^ (1 << random.below(8))]);
        return copy;
      },
      () => Buffer.concat([head, random.bytes(random.below(10)), tail]),
    );
  }
  return result;
}
