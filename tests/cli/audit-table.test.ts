import { compareReports, viewOf, type Report } from '@firmtally/core';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { renderTable, type TableOptions } from '../../packages/cli/src/audit/render-table.js';
import { labelled } from '../../packages/cli/src/terminal/labelled.js';
import { widthOf, wrap, wrapHanging, wrapLines } from '../../packages/cli/src/terminal/wrap.js';
import { sampleReport } from '../support/sample-report.js';

const options: TableOptions = {
  columns: 80,
  ascii: false,
  detail: true,
  brief: false,
  next: { text: 'This does it:', command: 'firmtally place PILE --onto card' },
  paint: (_, text) => text,
};

const linesOf = (report: Report, given: Partial<TableOptions> = {}): string[] =>
  renderTable(viewOf(report), { ...options, ...given }).split('\n');

async function longNames(): Promise<Report> {
  const report = await sampleReport();
  const long = `${'very/'.repeat(12)}long_${'x'.repeat(90)}.bin`;
  return {
    ...report,
    systems: report.systems.map((row, index) => ({
      ...row,
      name:
        index % 2 === 0
          ? `漢字システム${'漢'.repeat(40)}`
          : `👩‍🚀 family e\u0301 ${'word '.repeat(20)}`,
    })),
    firmware: report.firmware.map((row) => ({ ...row, expectedPath: long, foundAt: `z${long}` })),
  };
}

describe('the table', () => {
  it.each([200, 100, 80, 60, 40, 30, 20])('is never wider than %i columns', async (columns) => {
    for (const report of [await sampleReport(), await longNames()]) {
      const since = compareReports(report, report, { unchangedTime: () => true });
      for (const one of [report, { ...report, since }]) {
        for (const line of linesOf(one, { columns })) {
          expect(widthOf([line]), line).toBeLessThanOrEqual(columns);
          expect(line).toBe(line.trimEnd());
        }
      }
    }
  });

  it.each([
    ['80 columns', { columns: 80 }],
    ['40 columns', { columns: 40, detail: false }],
    ['200 columns', { columns: 200 }],
    ['ascii', { ascii: true, detail: false }],
    ['coloured', { paint: (style, text) => `<${style}>${text}</${style}>` }],
  ] as [string, Partial<TableOptions>][])('looks as before: %s', async (name, given) => {
    const text = linesOf(await sampleReport(), given).join('\n');
    await expect(text).toMatchFileSnapshot(`golden/audit-table-${name.replace(' ', '-')}.txt`);
  });

  it('aligns columns after wide characters', async () => {
    const lines = linesOf(await sampleReport());
    const head = lines.find((line) => line.startsWith('System')) ?? '';
    const cellsBefore = (line: string, word: string): number =>
      widthOf([line.slice(0, line.indexOf(word))]);
    const wide = lines.find((line) => line.startsWith('鶚')) ?? '';
    expect(cellsBefore(wide, 'ready')).toBe(cellsBefore(head, 'Readiness'));
    expect(cellsBefore(wide, '1/1')).toBe(cellsBefore(head, 'Required'));
  });

  it('draws nothing but ASCII with --ascii, and says status in words', async () => {
    const report = await sampleReport();
    const plain = { ...report, systems: report.systems.filter((row) => row.id !== 'osprey') };
    const text = linesOf(plain, { ascii: true }).join('\n');
    expect(text).toMatch(/^[\n -~]*$/);
    expect(text).toMatch(/not-ready/);
    expect(text).toMatch(/unproven/);
  });

  it.each([80, 40])(
    'shows few of many reasons at %i columns, all of them below',
    async (columns) => {
      const report = await sampleReport();
      const [row] = report.firmware.filter(({ verdict }) => verdict === 'missing');
      const [system] = report.systems;
      if (row === undefined || system === undefined) throw new Error('the sample has neither');
      // More lines than are drawn at a time, too.
      const firmware = Array.from({ length: 200 }, (_, index) => ({
        ...row,
        id: `f${String(index)}`,
      }));
      const requires = firmware.map(({ id }) => ({ firmware: id, met: 'lacking' as const }));
      const systems = Array.from({ length: 100 }, (_, index) => ({
        ...system,
        id: `s${String(index)}`,
        name: `System ${String(index)}`,
        readiness: 'not-ready' as const,
        requires,
        optionalFirmware: [],
        folders: [],
      }));
      const toGet = firmware.map(({ id }) => ({
        anyOf: [id],
        systems: systems.map((one) => one.id),
        optional: false,
        facts: [],
      }));
      const lines = linesOf({ ...report, systems, firmware, toGet }, { columns, detail: false });
      const end = lines.indexOf('To get');
      const table = lines.slice(0, end).map((line) => line.trimEnd());
      expect(table.filter((line) => line.endsWith('f7: missing'))).toHaveLength(100);
      expect(table.filter((line) => line.endsWith('f8: missing'))).toEqual([]);
      const more = table.filter((line) => line.endsWith('and 192 more'));
      expect(more).toHaveLength(100);
      expect(new Set(more).size).toBe(1); // in one column from the first to the last
      expect(lines.filter((line) => line === row.expectedPath)).toHaveLength(200);
    },
  );

  it('puts the summary last', async () => {
    expect(linesOf(await sampleReport()).slice(-2)).toEqual([
      '2 of 5 systems are ready; 1 unproven, 2 not-ready.',
      '',
    ]);
  });

  it('prints no control character of a name', async () => {
    expect(renderTable(viewOf(await sampleReport()), options)).not.toMatch(
      /[\u0000-\u0009\u000b-\u001f\u202e]/,
    );
  });
});

describe('wrapping', () => {
  it('loses no character but spaces, and keeps to the width', () => {
    const text = fc.array(
      fc.constantFrom('a', 'word', '漢字', '👩‍🚀', 'e\u0301', '/', '_', ' ', 'x'.repeat(30)),
      { maxLength: 30 },
    );
    fc.assert(
      fc.property(text, fc.integer({ min: 4, max: 40 }), (parts, width) => {
        const whole = parts.join('');
        for (const lines of [wrap(whole, width), wrapHanging(whole, width)]) {
          expect(lines.join('').replaceAll(' ', '')).toBe(whole.replaceAll(' ', ''));
          expect(widthOf(lines)).toBeLessThanOrEqual(width);
        }
      }),
      { seed: 41 },
    );
  });

  it('prefers spaces, then separators', () => {
    expect(wrap('one two three', 8)).toEqual(['one two', 'three']);
    expect(wrap('system/firmware/osprey_boot.bin', 18)).toEqual([
      'system/firmware/',
      'osprey_boot.bin',
    ]);
  });
});

describe('messages on a terminal', () => {
  it('break between words, indents kept, what fits left alone', () => {
    const text = 'firmtally: short\n  one two three four five six\n\nlast line that is long\n';
    expect(wrapLines(text, 16)).toBe(
      [
        'firmtally: short',
        '  one two three',
        '    four five',
        '    six',
        '',
        'last line that',
        '  is long',
        '',
      ].join('\n'),
    );
  });
});

describe('a checksum on a narrow terminal', () => {
  it('is never cut, so that it can be copied', () => {
    const style = { columns: 40, paint: (_: string, text: string) => text };
    const digest = '0123456789abcdef'.repeat(3).slice(0, 40);
    expect(labelled('expected', `16384 bytes, SHA-1 ${digest}`, style)).toEqual([
      '    expected:',
      '    16384 bytes, SHA-1',
      digest,
    ]);
  });
});
