import { stripVTControlCharacters } from 'node:util';
import type { Problem } from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import type { Context } from '../../packages/cli/src/context.js';
import { problemsText } from '../../packages/cli/src/validate/problems-text.js';
import { problem } from '../support/problem.js';

function shown(
  problems: readonly Problem[],
  sources: ReadonlyMap<string, string>,
  options: { columns: number; ascii?: boolean; color?: boolean },
): string {
  const files = Array.from(sources, ([path, text]) => ({
    path,
    bytes: new TextEncoder().encode(text),
  }));
  const context = { ascii: true, color: false, ...options } as Context;
  return problemsText(problems, files, context);
}

function frameOf(text: string, changes: Partial<Problem>, columns = 80, ascii = true): string[] {
  const result = shown([problem(changes)], new Map([['m.yaml', text]]), { columns, ascii });
  const lines = result.split('\n');
  const first = lines.findIndex((line) => /^\d+ \|/.test(line));
  return lines.slice(first, first + 2);
}

describe('the lines around a frame', () => {
  const long = problem({
    file: 'folder/a-name-longer-than-the-terminal.yaml',
    message: 'The key "crc" means nothing here; known are label, size, crc32.',
    suggestion: 'crc32',
    advice: 'write it inside the list that is above',
    related: [{ message: 'the first one is here', file: 'm.yaml', line: 1, column: 1 }],
  });
  const sources = new Map([[long.file, 'crc: 1']]);

  it('are broken between words below 80 columns, colours left out of the count', () => {
    expect(shown([long], sources, { columns: 40 }).split('\n')).toEqual([
      'folder/a-name-longer-than-the-terminal.yaml:1:1:',
      '  error: The key "crc" means nothing',
      '  here; known are label, size, crc32.',
      '  [wrong-value]',
      '1 | crc: 1',
      '  | ^',
      '  = the first one is here: m.yaml:1:1',
      '  = did you mean "crc32"?',
      '  = write it inside the list that is',
      '    above',
      '',
    ]);
    const coloured = shown([long], sources, { columns: 40, color: true });
    expect(stripVTControlCharacters(coloured)).toBe(shown([long], sources, { columns: 40 }));
    expect(coloured).toContain('\u001b[31merror:\u001b[39m The');
  });

  it('stay whole from 80 columns on', () => {
    const [head] = shown([long], sources, { columns: 80 }).split('\n');
    expect(head).toMatch(/^folder.*: error: The key.*\[wrong-value\]$/);
  });
});

describe('a list given as a manifest', () => {
  it('is told with the command that makes a manifest of it', () => {
    const list = problem({ rule: 'posted-list', advice: 'draft a manifest from the list' });
    const named = { ...list, file: 'a list.txt' };
    expect(shown([named], new Map(), { columns: 80 }).split('\n').slice(1)).toEqual([
      '  = draft a manifest from the list',
      '  = run: firmtally draft --list "a list.txt"',
      '',
    ]);
  });
});

describe('a frame', () => {
  // Cell widths: UAX #11, East Asian Width: W and F take two cells, combining marks none.
  it('marks by terminal cells', () => {
    expect(frameOf('猫: e\u0301x', { column: 4, endColumn: 6 })).toEqual([
      '1 | 猫: e\u0301x',
      '  |     ^',
    ]);
    expect(frameOf('猫猫: x', { column: 2, endColumn: 3 })).toEqual(['1 | 猫猫: x', '  |   ^~']);
  });

  it('marks escapes as wide as they are shown', () => {
    expect(frameOf('\x1b\u202ex', { column: 2, endColumn: 3 })).toEqual([
      '1 | \\x1b\\u{202e}x',
      '  |     ^~~~~~~~',
    ]);
  });

  it('marks to the end of the line when the place goes on', () => {
    expect(frameOf('ab: c\nd', { column: 2, endLine: 2, endColumn: 1 })).toEqual([
      '1 | ab: c',
      '  |  ^~~~',
    ]);
  });

  it('marks the end of a line', () => {
    expect(frameOf('ab', { column: 3, endColumn: 3 })).toEqual(['1 | ab', '  |   ^']);
  });

  it.each([20, 40, 80])('fits %i columns around the place, wherever it is', (columns) => {
    for (const unit of ['x', '猫', '\x1b', '😀']) {
      for (const ascii of [true, false]) {
        for (let at = 0; at < 300; at += 23) {
          const text = unit.repeat(at) + '!' + unit.repeat(300 - at);
          const column = unit.length * at + 1;
          const lines = frameOf(text, { column, endColumn: column + 1 }, columns, ascii);
          const [shown = '', marker = ''] = lines;
          expect(widthOf(shown)).toBeLessThanOrEqual(columns);
          expect(widthOf(shown.slice(0, shown.indexOf('!')))).toBe(marker.indexOf('^'));
        }
      }
    }
  });
});

/** Cells of the characters used above: U+732B is W, U+1F600 is W, U+2026 is not. */
function widthOf(text: string): number {
  return Array.from(text).reduce((sum, character) => sum + (/[猫😀]/u.test(character) ? 2 : 1), 0);
}
