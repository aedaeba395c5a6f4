import { formatProblems, sarifLog, RULES, type Problem } from '@firmtally/core';
import { describe, expect, it } from 'vitest';

function problem(changes: Partial<Problem>): Problem {
  return {
    rule: 'wrong-value',
    severity: 'error',
    message: 'Something is wrong.',
    file: 'm.yaml',
    line: 1,
    column: 1,
    endLine: 1,
    endColumn: 2,
    pointer: '',
    suggestion: null,
    advice: null,
    related: [],
    ...changes,
  };
}

function frameOf(text: string, changes: Partial<Problem>, columns = 80, ascii = true): string[] {
  const result = formatProblems([problem(changes)], new Map([['m.yaml', text]]), {
    columns,
    ascii,
  });
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
    expect(formatProblems([long], sources, { columns: 40, ascii: true }).split('\n')).toEqual([
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
    const paint = (style: string, text: string): string => `<${style}>${text}</>`;
    const coloured = formatProblems([long], sources, { columns: 40, ascii: true, paint });
    expect(coloured.replaceAll(/<\/?\w*>/g, '')).toBe(
      formatProblems([long], sources, { columns: 40, ascii: true }),
    );
    expect(coloured).toContain('<red>error:</> The');
  });

  it('stay whole from 80 columns on', () => {
    const [head] = formatProblems([long], sources, { columns: 80, ascii: true }).split('\n');
    expect(head).toMatch(/^folder.*: error: The key.*\[wrong-value\]$/);
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

  it('is left out for a file that is not at hand', () => {
    const text = formatProblems([problem({})], new Map(), { columns: 80, ascii: true });
    expect(text).toBe('m.yaml:1:1: error: Something is wrong. [wrong-value]\n');
  });
});

/** Cells of the characters used above: U+732B is W, U+1F600 is W, U+2026 is not. */
function widthOf(text: string): number {
  return Array.from(text).reduce((sum, character) => sum + (/[猫😀]/u.test(character) ? 2 : 1), 0);
}

describe('text', () => {
  it('escapes names, messages, suggestions and places', () => {
    const text = formatProblems(
      [
        problem({
          file: 'a\x1b[2J',
          message: 'm\u202e',
          suggestion: 's\n',
          advice: 'a\u0007',
          related: [{ message: 'r\r', file: 'f\u2028', line: 2, column: 3 }],
        }),
      ],
      new Map(),
      { columns: 80, ascii: true },
    );
    expect(text.split('\n')).toEqual([
      'a\\x1b[2J:1:1: error: m\\u{202e} [wrong-value]',
      '  = r\\r: f\\u{2028}:2:3',
      '  = did you mean "s\\n"?',
      '  = a\\x07',
      '',
    ]);
  });
});

// Source: SARIF 2.1.0 (OASIS Standard), the sections named.
describe('a SARIF log', () => {
  const log = sarifLog([
    problem({
      file: 'a b/ä#1.yaml',
      related: [{ message: 'r', file: '/x.yaml', line: 2, column: 3 }],
    }),
    problem({ rule: 'unused-firmware', severity: 'warning', file: 'C:/cards/m.yaml' }),
  ]) as SarifLog;
  const [run] = log.runs;

  it('3.13.2, 3.19.23: names its version and every rule', () => {
    expect(log.version).toBe('2.1.0');
    expect(run?.tool.driver.rules.map(({ id }) => id)).toEqual(RULES.map(({ id }) => id));
  });

  it('3.27.5, 3.27.6, 3.27.10: results point at their rule and have its level', () => {
    expect(run?.results.map(({ level }) => level)).toEqual(['error', 'warning']);
    for (const { ruleId, ruleIndex } of run?.results ?? []) {
      expect(run?.tool.driver.rules[ruleIndex]?.id).toBe(ruleId);
    }
  });

  it('3.4.3, 3.30: places are URI references (RFC 3986) and regions from 1, their end exclusive', () => {
    expect(run?.columnKind).toBe('utf16CodeUnits');
    expect(run?.results[0]?.locations[0]?.physicalLocation).toEqual({
      artifactLocation: { uri: 'a%20b/%C3%A4%231.yaml' },
      region: { startLine: 1, startColumn: 1, endLine: 1, endColumn: 2 },
    });
    expect(run?.results[0]?.relatedLocations?.[0]?.physicalLocation).toEqual({
      artifactLocation: { uri: 'file:///x.yaml' },
      region: { startLine: 2, startColumn: 3 },
    });
    expect(run?.results[1]?.locations[0]?.physicalLocation.artifactLocation.uri).toBe(
      'file:///C:/cards/m.yaml',
    );
  });
});

interface SarifPlace {
  readonly physicalLocation: { readonly artifactLocation: { readonly uri: string } };
}

interface SarifLog {
  readonly version: string;
  readonly runs: readonly {
    readonly tool: { readonly driver: { readonly rules: readonly { readonly id: string }[] } };
    readonly columnKind: string;
    readonly results: readonly {
      readonly ruleId: string;
      readonly ruleIndex: number;
      readonly level: string;
      readonly locations: readonly SarifPlace[];
      readonly relatedLocations?: readonly SarifPlace[];
    }[];
  }[];
}
