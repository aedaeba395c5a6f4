/** The examples of packages/core/docs/lists.md say what the reader reads. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readList } from '@firmtally/core';

const PAGE = readFileSync(new URL('../../../packages/core/docs/lists.md', import.meta.url), 'utf8');
const EXAMPLE = /^```list\n(?<list>.*?)^```\n\n```reads\n(?<reads>.*?)^```$/gmsu;

/** A reading as the page writes it. */
function asReads(list: string): string {
  const { rows, unused, notes } = readList('list', new TextEncoder().encode(list));
  const lines = [
    ...rows.map(({ line, path, size, digests, label, system, optional }) => ({
      line,
      text: [
        JSON.stringify(path),
        ...(size === null ? [] : [`${size} bytes`]),
        ...Object.entries(digests).map((pair) => pair.join(' ')),
        ...(label === null ? [] : [`label "${label}"`]),
        ...(system === null ? [] : [`system "${system}"`]),
        ...(optional === null ? [] : [optional ? 'optional' : 'required']),
      ].join(' '),
    })),
    ...unused.map(({ line, reason }) => ({ line, text: `not used: ${reason.text}` })),
    ...notes.map(({ line, message }) => ({ line, text: `note: ${message}` })),
  ].sort((a, b) => a.line - b.line);
  return lines.map(({ line, text }) => `${line}: ${text}\n`).join('');
}

describe('lists.md', () => {
  const examples = [...PAGE.matchAll(EXAMPLE)].map(
    ({ groups }) => [groups?.['list'] ?? '', groups?.['reads'] ?? ''] as const,
  );

  it('has an example of every shape', () => {
    expect(examples).toHaveLength(5);
    expect(PAGE.match(/^```list$/gm)).toHaveLength(5);
  });

  it.each(examples)('%j', (list, reads) => {
    expect(asReads(list)).toBe(reads);
  });
});
