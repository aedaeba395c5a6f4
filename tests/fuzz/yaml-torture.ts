import type { Random } from './random.js';

/** Documents made to hurt a YAML reader: what a manifest's author would never write and an attacker would. */
export function tortureYaml(random: Random): Buffer {
  const n = random.pick([1, 2, 3, 10, 50, 100, 101, 1000, 20_000]);
  const few = Math.min(n, 1000);
  const key = random.pick(['firmtally', 'firmware', 'systems', 'loadouts', 'title', 'x']);
  const text = random.oneOf(
    () => `${key}: ${'['.repeat(n)}${random.chance(0.5) ? ']'.repeat(n) : ''}\n`,
    () => `${key}: ${'{a: '.repeat(n)}${random.chance(0.5) ? '}'.repeat(n) : ''}\n`,
    () => `${'- '.repeat(n)}a\n`,
    () => Array.from({ length: few }, (_, depth) => `${' '.repeat(depth)}a:\n`).join(''),
    () => `${'? '.repeat(n)}a\n`,
    () => bomb(random.between(2, 30), random.between(2, 12)),
    () => wideAliases(random.pick(['*x', 'x', '[]', '*a0']), few),
    () => `a: &a [*a]\nfirmtally: 1\n`,
    () => `&a ${key}: *a\n`,
    () => `x: &x\n  <<: *x\nfirmtally: 1\n`,
    () => Array.from({ length: few }, (_, i) => `k${i}: &a${i} *a${i - 1}\n`).join(''),
    () =>
      `firmtally: 1\nfirmware:\n${Array.from({ length: few }, (_, i) => `  f${i}: &f {path: p${i}}\n`).join('')}`,
    () => `firmtally: 1\n${'k'.repeat(n * 10)}: 1\n`,
    () => `firmtally: 1\nfirmware: {${'k'.repeat(n)}: {path: x}}\n`,
    () => `firmtally: 1\n? {a: [b, c]}\n: d\n? [x]\n: y\n`,
    () => `? |\n  block key\n: 1\nfirmtally: 1\n`,
    () => `__proto__: {firmtally: 1}\n`,
    () =>
      `firmtally: 1\nfirmware: {__proto__: {path: x}, constructor: {path: y}}\nsystems: {__proto__: {requires: [__proto__, constructor]}}\n`,
    () =>
      `{"firmtally":1,"firmware":{"__proto__":{"path":"x"}},"systems":{"a":{"requires":["__proto__"]}}}`,
    () =>
      `firmtally: !!${random.pick(['int', 'float', 'str', 'binary', 'set', 'omap', 'js/function', 'python/object/apply:os.system'])} 1\n`,
    () => `!<tag:example,2000:x> {firmtally: !local 1}\n`,
    () => `%YAML ${random.pick(['1.1', '1.3', '9.9', 'x'])}\n---\nfirmtally: 1\n`,
    () => `${'%TAG !a! tag:x,2000:\n'.repeat(few)}---\nfirmtally: 1\n`,
    () => `firmtally: 1\n${'---\nfirmtally: 1\n'.repeat(few)}`,
    () => `firmtally: 1\n${'...\n'.repeat(few)}`,
    () => `${'\n'.repeat(n)}firmtally: 1`,
    () => `${'#'.repeat(n)}\nfirmtally: 1\n`,
    () => `${'# c\n'.repeat(n)}firmtally: 1\n`,
    () => `\ufefffirmtally: 1\n`,
    () => `\ufeff\ufefffirmtally: 1\n`,
    () => `firmtally: 1\r\ntitle: "a\\\r\n  b"\r\n`,
    () => `firmtally: 1\rtitle: x\r`,
    () => `firmtally: 1\ntitle: "\\ud800"\n`,
    () => `firmtally: 1\ntitle: "\\U0010FFFF\\x1b[31m\\0\\u202e"\n`,
    () => `firmtally: 1\ntitle: "\\U00110000"\n`,
    () => `firmtally: 1\ntitle: '${'\u0001\u001b\u0085\u2028'.repeat(3)}'\n`,
    () => `\tfirmtally: 1\n`,
    () => `firmtally: 1\n\tfirmware: {}\n`,
    () =>
      `firmtally: 1\ntitle: |${random.pick(['', '+', '-', '9', '0', '10', '1-', '++'])}\n  a\n b\n`,
    () => `firmtally: 1\ntitle: "${'\\'.repeat(n)}\n`,
    () => `firmtally: 1\ntitle: ${"'".repeat(n)}\n`,
    () => `firmtally: 1\ntitle: ${'"'.repeat(n)}\n`,
    () => `firmtally: 1\ntitle: ${'a: '.repeat(few)}\n`,
    () => `firmtally: 1\ntitle: ${'&a '.repeat(few)}x\n`,
    () => `firmtally: 1\ntitle: ${'! '.repeat(few)}x\n`,
    () => 'firmtally: 1\n'.repeat(few),
    () => `firmtally: 1\nsystems: {${'a: {}, '.repeat(few)}}\n`,
    () => `firmtally: 1\nsystems: {a: {requires: [${'{any-of: ['.repeat(few)}`,
    () =>
      random.pick([
        '',
        ' ',
        '\n',
        '---',
        '---\n---\n',
        '#',
        '~',
        '1',
        '[]',
        '{}',
        '"',
        "'",
        '\0',
        '|',
        '>',
        '&a',
        '*a',
        '!',
        '? ',
        ': ',
        '- ',
        '\ufeff',
        '{',
        '[',
        ']',
        '}',
        '%',
        '@',
        '`',
      ]),
  );
  return random.chance(0.1) ? Buffer.from(text, 'utf16le') : Buffer.from(text);
}

/** The "billion laughs": each level names the one before several times. */
function bomb(levels: number, width: number): string {
  const lines = ['a0: &a0 [x, x]'];
  for (let level = 1; level < levels; level++) {
    const item = `*a${level - 1}`;
    lines.push(`a${level}: &a${level} [${Array.from({ length: width }, () => item).join(', ')}]`);
  }
  return `${lines.join('\n')}\nfirmtally: 1\n`;
}

/** A list repeated as often as it is long, of aliases that lead nowhere or of values. */
function wideAliases(item: string, width: number): string {
  const list = (text: string): string =>
    `[${Array.from({ length: width }, () => text).join(', ')}]`;
  return `a0: &a0 ${list(item)}\na1: ${list('*a0')}\nfirmtally: 1\n`;
}
