/**
 * Every pattern in the published sources and in the schemas, read from them,
 * against long texts of what it is about: it must not go back and try again
 * so often that time grows faster than the text.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';
import { growth, MOST_GROWTH } from '../../support/growth.js';

const root = fileURLToPath(new URL('../../../', import.meta.url));

/** Patterns that only ever see texts of bounded length, and why. */
const BOUNDED: Readonly<Record<string, string>> = {
  '[-.+]+$': 'a stem for an id, cut to its longest before',
  '^[ \\t]*\\|?[ \\t]*:?-+:?[ \\t]*(?:\\|[ \\t]*:?-+:?[ \\t]*)*\\|?[ \\t]*$':
    'a ruled line of a Markdown table; one of more than 4096 characters is none',
};

function patternsOf(file: string): RegExp[] {
  const source = ts.createSourceFile(
    file,
    readFileSync(`${root}${file}`, 'utf8'),
    ts.ScriptTarget.Latest,
  );
  const found: RegExp[] = [];
  const visit = (node: ts.Node): void => {
    if (ts.isRegularExpressionLiteral(node)) {
      const end = node.text.lastIndexOf('/');
      found.push(new RegExp(node.text.slice(1, end), node.text.slice(end + 1)));
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

function patternsIn(schema: unknown): RegExp[] {
  if (typeof schema !== 'object' || schema === null) return [];
  return Object.entries(schema).flatMap(([key, value]) =>
    key === 'pattern' && typeof value === 'string' ? [new RegExp(value, 'u')] : patternsIn(value),
  );
}

function sources(): string[] {
  return ['core', 'host', 'cli', 'page'].flatMap((name) => {
    const folder = `packages/${name}/src`;
    try {
      return readdirSync(`${root}${folder}`, { recursive: true, encoding: 'utf8' })
        .filter((file) => /\.[mc]?[jt]sx?$/.test(file) && !/(^|[\\/])generated[\\/]/.test(file))
        .map((file) => `${folder}/${file}`);
    } catch {
      return [];
    }
  });
}

const patterns = [
  ...sources().flatMap((file) => patternsOf(file).map((pattern) => ({ file, pattern }))),
  ...readdirSync(`${root}data-schemas`)
    .map((name) => `data-schemas/${name}`)
    .flatMap((file) =>
      patternsIn(JSON.parse(readFileSync(`${root}${file}`, 'utf8'))).map((pattern) => ({
        file,
        pattern,
      })),
    ),
];

/** What a pattern is about, as far as single characters say, and what people write again and again. */
function units({ source }: RegExp): string[] {
  return [
    ...new Set([
      ...Array.from(source),
      ...[' ', '0', 'a', '-', '.', '/', '\\', '\n', '\t', '"', 'é', '\u200b'],
      ...['a/', '../', ' (1)', ' - Copy', '0,', 'a.', '\\n', ' \n', '<a', '=-', '1 ', '[a]('],
    ]),
  ];
}

/** Goes through a text as `replace` does, which is what a search at each place takes. */
function goThrough(pattern: RegExp, text: string): void {
  pattern.lastIndex = 0;
  text.replace(pattern, '');
}

describe('a pattern', () => {
  it('is found in the sources', () => {
    expect(patterns.length).toBeGreaterThan(80);
  });

  const seen = new Set<string>();
  it.each(
    patterns.filter(({ pattern }) => !seen.has(String(pattern)) && seen.add(String(pattern))),
  )('$file: $pattern', async ({ pattern }) => {
    if (BOUNDED[pattern.source] !== undefined) return;
    const goThroughAll = (n: number): void => {
      for (const unit of units(pattern)) {
        const text = unit.repeat(Math.ceil(n / unit.length));
        goThrough(pattern, text);
        goThrough(pattern, `b${text}\u0000c`);
      }
    };
    // One text of quadratic time shows among all the others: its 5e9 steps take many times as
    // long as this, so that growth need only be measured where the machine is slow.
    const before = process.cpuUsage();
    goThroughAll(100_000);
    if (process.cpuUsage(before).user < 2e6) return;
    expect(await growth(goThroughAll, 25_000)).toBeLessThan(MOST_GROWTH);
  });
});
