import { formatProblems, sarifLog, RULES, type Problem } from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import { problem } from '../../support/problem.js';

function textOf(problem: Problem, source: string): string[] {
  return formatProblems([problem], new Map([[problem.file, source]])).split('\n');
}

describe('problems as plain text', () => {
  it('have each sentence on one line, and a frame by characters', () => {
    const long = problem({
      message: 'The key "crc" means nothing here; known are label, size, crc32.',
      line: 10,
      column: 4,
      endLine: 10,
      endColumn: 6,
      suggestion: 'crc32',
      advice: 'write it inside the list that is above',
      related: [{ message: 'the first one is here', file: 'm.yaml', line: 1, column: 1 }],
    });
    // A combining mark belongs to the character before it (UAX #29).
    expect(textOf(long, `${'\n'.repeat(9)}\u732b: e\u0301x`)).toEqual([
      'm.yaml:10:4: error: The key "crc" means nothing here; known are label, size, crc32. [wrong-value]',
      '10 | \u732b: e\u0301x',
      '   |    ^',
      '   = the first one is here: m.yaml:1:1',
      '   = did you mean "crc32"?',
      '   = write it inside the list that is above',
      '',
    ]);
  });

  it('show a hundred characters of a long line, around the place', () => {
    for (const unit of ['x', '\u732b', '\u{1f600}']) {
      for (let at = 0; at < 300; at += 23) {
        const text = unit.repeat(at) + '!' + unit.repeat(300 - at);
        const column = unit.length * at + 1;
        const [, shown = '', marker = ''] = textOf(
          problem({ column, endColumn: column + 1 }),
          text,
        );
        const characters = Array.from(shown);
        expect(characters.length).toBeLessThanOrEqual('1 | '.length + 100);
        expect(characters.length).toBeGreaterThan(90);
        expect(characters.indexOf('!')).toBe(marker.indexOf('^'));
      }
    }
  });

  it('mark the end of a line, and up to it when the place goes on', () => {
    expect(textOf(problem({ column: 3, endColumn: 3 }), 'ab').slice(1, 3)).toEqual([
      '1 | ab',
      '  |   ^',
    ]);
    const on = problem({ column: 2, endLine: 2, endColumn: 1 });
    expect(textOf(on, 'ab: c\nd').slice(1, 3)).toEqual(['1 | ab: c', '  |  ^~~~']);
  });

  it('have no frame for a file that is not at hand', () => {
    const text = formatProblems([problem({})], new Map());
    expect(text).toBe('m.yaml:1:1: error: Something is wrong. [wrong-value]\n');
  });

  it('are escaped: names, messages, suggestions and places', () => {
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
