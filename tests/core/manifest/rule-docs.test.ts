import { readFileSync } from 'node:fs';
import { readManifests, RULES } from '@firmtally/core';
import { describe, expect, it } from 'vitest';

const text = readFileSync(new URL('../../../packages/core/docs/rules.md', import.meta.url), 'utf8');

/** Sections of docs/rules.md by their heading. */
const sections = new Map(
  text
    .split(/^## /m)
    .slice(1)
    .map((section) => [section.slice(0, section.indexOf('\n')), section] as const),
);

/** The bytes an example stands for; the words after `wrong` say how it is saved. */
function bytesOf(example: string, how: string): Uint8Array {
  if (how === 'latin1') return Buffer.from(example, 'latin1');
  if (how === 'nul') return Buffer.from(example.replaceAll('␀', '\0'));
  if (how === 'repeat') {
    const last = `${example.trimEnd().split('\n').at(-1) ?? ''}\n`;
    return Buffer.from(example + last.repeat(4 * 1024 * 1024));
  }
  if (how === 'lines') return Buffer.from(example.repeat(200));
  if (how === 'loadouts') {
    // A thousand entries that one system names, and as many loadouts and more.
    const lines = (n: number, line: (index: number) => string): string =>
      Array.from({ length: n }, (_, index) => `${line(index)}\n`).join('');
    return Buffer.from(
      `firmtally: 1\nfirmware:\n${lines(1000, (i) => `  a${i}: {path: x${i}}`)}` +
        `systems: {s: {requires: [${Array.from({ length: 1000 }, (_, i) => `a${i}`).join()}]}}\n` +
        `loadouts:\n${lines(1001, (i) => `  l${i}: {systems: [s], folder: f${i}}`)}`,
    );
  }
  if (how === 'many') {
    const [first = '', last = ''] = example.split('\n');
    const keys = Array.from({ length: 20_000 }, (_, index) => `${index}${last}\n`);
    return Buffer.from(`${first}\n${keys.join('')}`);
  }
  return Buffer.from(example);
}

async function rulesBroken(section: string, kind: 'wrong' | 'right'): Promise<string[]> {
  const block = new RegExp('```yaml ' + kind + '(?: (\\w+))?\\n([^]*?)```').exec(section);
  if (block === null) throw new Error(`no ${kind} example`);
  const [, how = '', example = ''] = block;
  const files = example
    .split('# --- second file ---\n')
    .map((part, index) => ({ path: `${index + 1}.yaml`, bytes: bytesOf(part, how) }));
  const { problems } = await readManifests(files);
  return problems.map(({ rule }) => rule);
}

describe('docs/rules.md', () => {
  it('has a section for each rule, in order, and no others', () => {
    expect([...sections.keys()]).toEqual(RULES.map(({ id }) => id));
  });

  it.each(RULES)('$id: says what the rule says', ({ id, severity, description }) => {
    expect(sections.get(id)).toContain(`**${severity}** — ${description}`);
  });

  it.each(RULES)('$id: the wrong example breaks this rule and no other', async ({ id }) => {
    const broken = new Set(await rulesBroken(sections.get(id) ?? '', 'wrong'));
    // There have to be others to be too many.
    if (id === 'too-many-problems') broken.delete('unknown-key');
    expect(broken).toEqual(new Set([id]));
  });

  it.each(RULES)('$id: the right example breaks none', async ({ id }) => {
    expect(await rulesBroken(sections.get(id) ?? '', 'right')).toEqual([]);
  });
});
