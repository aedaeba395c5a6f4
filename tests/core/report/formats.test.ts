import {
  compareReports,
  renderReport,
  schemaText,
  type FormatOptions,
  type Report,
  type ReportFormatName,
} from '@firmtally/core';
import { advice, fact } from '@firmtally/core/internal';
import { Ajv2020 } from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { HtmlValidate } from 'html-validate';
import { describe, expect, it } from 'vitest';
import { readCsv } from '../../support/read-csv.js';
import { readTap } from '../../support/read-tap.js';
import { sampleReport } from '../../support/sample-report.js';

const as =
  (name: ReportFormatName) =>
  (report: Report, options: FormatOptions = {}): string =>
    renderReport(report, name, options);
const renderCsv = as('csv');
const renderHtml = as('html');
const renderJson = as('json');
const renderMarkdown = as('markdown');
const renderTap = as('tap');

const validate = new Ajv2020({ allErrors: true, strict: true, allowUnionTypes: true }).compile(
  JSON.parse(schemaText('report')) as object,
);

/** What escapeText promises is never printed: controls, bidirectional controls, line separators, zero-width. */
const UNPRINTABLE =
  /[\u0000-\u0009\u000b\u000c\u000e-\u001f\u007f-\u009f\u200b-\u200f\u2028-\u202e\ufeff]/;

/** The sample with every name of a system and every path made of the given text. */
async function hostile(text: string): Promise<Report> {
  const report = await sampleReport();
  return {
    ...report,
    root: text,
    systems: report.systems.map((row) => ({ ...row, name: text })),
    firmware: report.firmware.map((row) => ({
      ...row,
      expectedPath: `x${text}`,
      dump: text,
      facts: [fact('unlisted', { path: text, reason: text })],
      advice: advice('copy-there', { from: text, path: text, blockedBy: null }),
      note: text,
    })),
    strays: [{ path: `x${text}`, size: 1 }],
    faults: [{ path: text, code: 'io-error', message: text }],
  };
}

const nasty = fc.oneof(
  fc.string({ unit: 'binary', maxLength: 12 }),
  fc
    .array(
      fc.constantFrom(
        '<',
        '>',
        '"',
        "'",
        '&',
        '#',
        '\\',
        '|',
        '`',
        '*',
        '_',
        '[x](y)',
        '=',
        '\uff1d',
        ',',
        ';',
        '\r\n',
        '\n',
        '-->',
        '</style>',
        '<script>',
        '\u001b[2J',
        '\u202e',
        '\udc80',
        ' ',
      ),
      { maxLength: 8 },
    )
    .map((parts) => parts.join('')),
);

describe('what changed since an earlier report', () => {
  /** The sample after bits of osprey-boot rotted and osprey-sound was found wrong and rewritten. */
  async function compared(): Promise<Report> {
    const now = await sampleReport();
    const firmware = now.firmware.map((row) => {
      const digests = { crc32: '00000000' };
      if (row.id === 'osprey-boot') return { ...row, digests };
      if (row.id === 'osprey-sound') return { ...row, verdict: 'match' as const, size: 151 };
      return row;
    });
    const earlier = { ...now, firmware: firmware.filter(({ id }) => id !== 'tern-font') };
    return { ...now, since: compareReports(earlier, now, { unchangedTime: () => true }) };
  }
  const SILENT =
    /^changed silently: osprey-boot .*other bytes, though its size is the same and its time is not later than the report's/;

  it('is said in TAP as comments', async () => {
    const { comments } = readTap(renderTap(await compared()));
    const said = comments.map((line) => line.slice(2));
    expect(said.filter((line) => SILENT.test(line))).toHaveLength(1);
    expect(said).toContain('newly wrong: osprey-sound (match -> mismatch)');
  });

  it('is a further column in CSV, only then', async () => {
    const report = await compared();
    const [head = [], ...records] = readCsv(renderCsv(report));
    expect(head.at(-1)).toBe('since');
    const since = new Map(
      records.map((record) => [record[head.indexOf('firmware')], record.at(-1)]),
    );
    expect(since.get('osprey-boot')).toBe('changed-silently');
    expect(since.get('osprey-sound')).toBe('newly-wrong; other-bytes');
    expect(since.get('tern-font')).toBe('appeared');
    expect(since.get('osprey-video')).toBe('unchanged');
    expect(new Set(records.map((record) => record.length))).toEqual(new Set([head.length]));
    const [without = []] = readCsv(renderCsv(await sampleReport()));
    expect(without).toEqual(head.slice(0, -1));
  });

  it('is said in Markdown and HTML', async () => {
    const report = await compared();
    for (const text of [renderMarkdown(report), renderHtml(report)]) {
      expect(text).toMatch(/changed silently: osprey-boot/);
    }
  });
});

describe('JSON', () => {
  it('is valid under its schema (draft 2020-12), with and without a comparison', async () => {
    const report = await sampleReport();
    const since = compareReports(report, report, { unchangedTime: () => true });
    for (const one of [report, { ...report, since }]) {
      expect(validate(JSON.parse(renderJson(one))), JSON.stringify(validate.errors)).toBe(true);
    }
    expect(validate({ ...report, more: 1 })).toBe(true);
    expect(validate({ ...report, systems: [{}] })).toBe(false);
  });

  it('gives every text back, and prints nothing that could upset a terminal', async () => {
    await fc.assert(
      fc.asyncProperty(nasty, async (text) => {
        const report = await hostile(text);
        const json = renderJson(report);
        expect(JSON.parse(json)).toEqual(report);
        expect(json).not.toMatch(UNPRINTABLE);
        expect(Buffer.from(json).toString()).toBe(json); // valid UTF-8
      }),
      { seed: 31, numRuns: 60 },
    );
  });
});

describe('TAP', () => {
  it('has a point for each system, read by an independent reader', async () => {
    const report = await sampleReport();
    const { plan, points, comments } = readTap(renderTap(report));
    expect(plan).toBe(report.systems.length);
    expect(points.map((point) => point.ok)).toEqual([false, false, true, true, true]);
    expect(points[0]?.description).toBe('gull: Gull # "TODO" \\ `x` *y* _z_');
    expect(points[1]?.diagnostics).toMatchObject({
      readiness: 'not-ready',
      optional: { match: 0, total: 0 },
      firmware: [
        { id: 'kestrel-chips', role: 'required', verdict: 'match' },
        { id: 'kestrel-east', role: 'any-of', verdict: 'misplaced', foundAt: 'old/east.bin' },
        { id: 'kestrel-west', role: 'any-of', verdict: 'missing', foundAt: null },
      ],
      folders: [{ found: 1, atLeast: 2 }],
    });
    expect(comments.at(-1)).toBe('# 2 of 5 systems are ready; 1 unproven, 2 not-ready.');
  });

  it('stays TAP whatever the names are, without directives', async () => {
    await fc.assert(
      fc.asyncProperty(nasty, async (text) => {
        const { plan, points } = readTap(renderTap(await hostile(text)));
        expect(points.map(({ number, directive }) => [number, directive])).toEqual(
          Array.from({ length: plan }, (_, index) => [index + 1, null]),
        );
      }),
      { seed: 32, numRuns: 60 },
    );
  });
});

describe('CSV', () => {
  it('has a record for each firmware of each system', async () => {
    const [head = [], ...records] = readCsv(renderCsv(await sampleReport()));
    expect(new Set([head.length, ...records.map((record) => record.length)]).size).toBe(1);
    const column = (name: string): string[] =>
      records.map((record) => record[head.indexOf(name)] ?? '');
    expect(column('system').join()).toBe(
      'gull,kestrel,kestrel,kestrel,osprey,osprey,osprey,plover,tern,tern',
    );
    expect(column('role').join()).toBe(
      'required,required,any-of,any-of,required,optional,optional,,required,required',
    );
    expect(column('verdict').slice(0, 3)).toEqual(['unreadable', 'match', 'misplaced']);
  });

  it('can be read back whatever the names are, and no field is a formula (OWASP, CSV Injection)', async () => {
    await fc.assert(
      fc.asyncProperty(nasty, async (text) => {
        const csv = renderCsv(await hostile(text));
        const records = readCsv(csv);
        expect(new Set(records.map((record) => record.length)).size).toBe(1);
        for (const field of records.flat()) expect(field).not.toMatch(/^[=+\-@\t\r\uff1d]/);
        // "You also need to take care of the field separator (e.g., ',', or ';') and quotes" (ibid.)
        for (const cell of csv.split(/;|\r\n/)) expect(cell).not.toMatch(/^[\s"]*[=+\-@\uff1d]/);
      }),
      { seed: 33, numRuns: 60 },
    );
  });
});

describe('Markdown', () => {
  it('keeps its tables and has no markup from names', async () => {
    await fc.assert(
      fc.asyncProperty(nasty, async (text) => {
        const lines = renderMarkdown(await hostile(text), { detail: true }).split('\n');
        const rows = lines.filter((line) => line.startsWith('|'));
        // GFM 4.10: a bar that is not escaped ends a cell.
        const cells = rows.map((row) => row.replaceAll(/\\./gs, '').split('|').length);
        expect(new Set(cells)).toEqual(new Set([7, 11])); // five and nine columns
        const bare = lines.join('\n').replaceAll(/\\./gs, '').replaceAll('<br>', '');
        expect(bare).not.toMatch(/[<\][]/);
      }),
      { seed: 34, numRuns: 60 },
    );
  });
});

describe('HTML', () => {
  it('has no element, attribute or entity from names', async () => {
    // Where a line may be broken depends on the names, as it should.
    const tags = (page: string): string[] =>
      (page.match(/<[^>]*>/g) ?? []).filter((tag) => tag !== '<wbr>');
    // The same page with a harmless name has exactly the same tags.
    const plain = tags(renderHtml(await hostile('harmless'), { detail: true }));
    await fc.assert(
      fc.asyncProperty(nasty, async (text) => {
        const page = renderHtml(await hostile(`a${text}`), { detail: true });
        expect(tags(page)).toEqual(plain);
        const afterEntities = page.replaceAll(/&(?:amp|lt|gt|quot|#39);/g, '');
        expect(afterEntities).not.toContain('&');
        expect(page).not.toMatch(UNPRINTABLE);
      }),
      { seed: 35, numRuns: 60 },
    );
  });

  // Source: the HTML Standard, as html-validate's "standard" rules check it.
  it('is valid HTML, whatever the names are', async () => {
    const validator = new HtmlValidate({ extends: ['html-validate:standard'] });
    const report = await sampleReport();
    const since = compareReports(report, report, { unchangedTime: () => true });
    const brief = { ...report, systems: [], firmware: [], toGet: [], strays: [], faults: [] };
    for (const one of [report, { ...report, since }, await hostile('"><b>&x'), brief]) {
      const { results } = await validator.validateString(renderHtml(one, { detail: true }));
      expect(results.flatMap(({ messages }) => messages)).toEqual([]);
    }
  });

  it('is one self-contained page: no script, nothing loaded', async () => {
    const page = renderHtml(await sampleReport());
    expect(page).not.toMatch(/<(?:script|link|img|iframe|object|embed|form|base)\b/i);
    for (const tag of page.match(/<[^>]*>/g) ?? [])
      expect(tag).not.toMatch(/\s(?:src|on\w+)=|href="(?!#)/i);
    expect(page).not.toMatch(/url\(|@import/i);
    expect(page).toMatch(/prefers-color-scheme: dark/);
    expect(page).toMatch(/<meta name="viewport" content="width=device-width, initial-scale=1">/);
    // Status in words, the cautions at the foot.
    expect(page).toMatch(/>not-ready<.*>unproven</s);
    expect(page).toMatch(/<footer>\n<p>The wrong firmware/);
  });
});
