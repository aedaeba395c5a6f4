import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { DIAGNOSES, READINESS, readManifests, VERDICTS } from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import { fillBlocks, parseBlocks, splitWords } from '../../packages/tooling/src/readme/blocks.js';
import { fillMarkdown } from '../../packages/tooling/src/readme/run-blocks.js';

const workspace = new URL('../../', import.meta.url);
const read = (name: string): string => readFileSync(new URL(name, workspace), 'utf8');
const DOCUMENTS = [
  'README.md',
  'DEVELOPERS.md',
  'CHANGELOG.md',
  'packages/cli/docs/walk.md',
  'packages/cli/docs/limits.md',
];

describe('README.md', () => {
  // Some ten processes one after the other, on a machine that may be busy.
  it('shows what its commands print', { timeout: 120_000 }, () => {
    const shown = read('README.md');
    expect(fillMarkdown(shown)).toBe(shown);
  });

  it('sets everything up with two commands that exist', () => {
    const scripts = (JSON.parse(read('package.json')) as { scripts: Record<string, string> })
      .scripts;
    const used = [...read('README.md').matchAll(/^npx --yes pnpm@[\d.]+ run (\S+)$/gm)];
    expect(used.map(([, script]) => script)).toEqual(['demo', 'test']);
    for (const [, script = ''] of used) expect(scripts).toHaveProperty(script);
  });
});

describe("README.md's manifest", () => {
  it('is valid as it stands', async () => {
    const examples = [...read('README.md').matchAll(/```yaml\n([\s\S]*?)```/g)];
    expect(examples).toHaveLength(1);
    const bytes = new TextEncoder().encode(examples[0]?.[1]);
    expect((await readManifests([{ path: 'README.md', bytes }])).problems).toEqual([]);
  });
});

describe("README.md's tables of words", () => {
  it.each([
    ['Verdict', VERDICTS],
    ['Readiness', READINESS],
    ['Diagnosis', DIAGNOSES],
  ])('%s: explains each word the reports use, and no other', (heading, words) => {
    const page = heading === 'Diagnosis' ? 'packages/core/docs/diagnoses.md' : 'README.md';
    const table = new RegExp(`^\\| ${heading} .*\\n(?:\\|.*\\n)+`, 'm').exec(read(page))?.[0] ?? '';
    const explained = [...table.matchAll(/^\| `([a-z-]+)`/gm)].map(([, word]) => word);
    expect(explained).toEqual([...words]);
  });
});

describe('the documents', () => {
  it.each(DOCUMENTS)('%s links to files and headings that exist', (name) => {
    const text = read(name);
    const links = [...text.matchAll(/\]\((?!https?:)([^)\s]+)\)/g)].map(
      ([, target = '']) => target,
    );
    for (const link of links) {
      const [path = '', anchor] = link.split('#');
      const target =
        path === '' ? new URL(name, workspace) : new URL(path, new URL(name, workspace));
      expect(existsSync(fileURLToPath(target)), link).toBe(true);
      if (anchor !== undefined) {
        expect(anchorsOf(readFileSync(target, 'utf8')), link).toContain(anchor);
      }
    }
  });
});

/** GitHub's anchors of a Markdown text's headings (common practice, no source). */
function anchorsOf(markdown: string): string[] {
  return [...markdown.matchAll(/^#+ (.+)$/gm)].map(([, heading = '']) =>
    heading
      .toLowerCase()
      .replaceAll(/[^\p{L}\p{N}\s_-]/gu, '')
      .replaceAll(' ', '-'),
  );
}

describe('the tool that fills in output', () => {
  const text = [
    'Before.',
    '<!-- run exit=1 -->',
    '',
    '```console',
    "$ firmtally audit 'a b' \\",
    '    -m "m.yaml"',
    'old output',
    '$ firmtally schema plan > plan.json',
    '```',
    '<!-- step: remove a/b -->',
    'After.',
  ].join('\n');

  it('finds commands, continued lines, exit codes and steps', () => {
    expect(parseBlocks(text)).toMatchObject([
      {
        kind: 'run',
        exit: 1,
        line: 2,
        commands: [
          { words: ['firmtally', 'audit', 'a b', '-m', 'm.yaml'] },
          { words: ['firmtally', 'schema', 'plan', '>', 'plan.json'] },
        ],
      },
      { kind: 'step', words: ['remove', 'a/b'], line: 10 },
    ]);
  });

  it('replaces what stands between the fences and nothing else', () => {
    const blocks = parseBlocks(text).filter((block) => block.kind === 'run');
    const filled = fillBlocks(text, blocks, ['$ firmtally x\nnew\n']);
    expect(filled).toBe(
      'Before.\n<!-- run exit=1 -->\n\n```console\n$ firmtally x\nnew\n```\n<!-- step: remove a/b -->\nAfter.',
    );
  });

  it('refuses a mark without commands, so that no output goes unchecked', () => {
    expect(() => parseBlocks('<!-- run -->\nprose')).toThrow('not followed by a console block');
    expect(() => parseBlocks('<!-- run -->\n```console\ntext\n```')).toThrow('has no "$ " command');
  });

  it('refuses an exit code other than the one the text claims', () => {
    const wrong = '<!-- run exit=1 -->\n```console\n$ firmtally schema manifest\n```\n';
    expect(() => fillMarkdown(wrong)).toThrow('exit code 0, not 1');
  });

  it('splits words as a shell does for plain quotes', () => {
    expect(splitWords(`a "b c" 'd "e"' f`)).toEqual(['a', 'b c', 'd "e"', 'f']);
  });
});
