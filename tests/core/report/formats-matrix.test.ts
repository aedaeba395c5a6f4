/** Which part of a report each format carries: what it says it does, and what the documents say. */
import { readFileSync } from 'node:fs';
import {
  compareReports,
  REPORT_FORMATS,
  renderReport,
  type FirmwareRow,
  type Report,
  type ReportFormatName,
  type ReportPart,
} from '@firmtally/core';
import { advice, fact, hint, REPORT_PARTS } from '@firmtally/core/internal';
import { describe, expect, it } from 'vitest';
import { sampleReport } from '../../support/sample-report.js';

const NAMES = Object.keys(REPORT_FORMATS) as ReportFormatName[];

/** What only that part can have put into a text. Hex, digits or letters, so that no format escapes it. */
const MARKS: Readonly<Record<ReportPart, string>> = {
  title: 'MarkTitle',
  loadout: 'MarkLoadout',
  readiness: 'not-ready',
  met: 'lacking',
  verdict: 'mismatch',
  expectedPath: 'mark/expected',
  foundAt: 'mark/found',
  judged: 'mark/judged',
  size: '987654',
  digests: 'abcdef01',
  dump: 'MarkDump',
  expected: 'fedcba98',
  diagnosis: 'word-swapped',
  facts: 'MarkFact',
  advice: 'MarkAdvice',
  note: 'MarkNote',
  toGet: 'MarkInstead',
  hints: 'MarkHint',
  since: 'MarkSince',
  content: 'mark/content',
  pictures: 'mark/without',
  strays: 'mark/stray',
  faults: 'mark/fault',
};

/** A report in which every part has its mark, and nothing else has it. */
async function marked(): Promise<Report> {
  const report = await sampleReport();
  const [first] = report.firmware;
  const [system] = report.systems;
  if (first === undefined || system === undefined) throw new Error('the sample has neither');
  const row: FirmwareRow = {
    id: 'f1',
    verdict: 'mismatch',
    expectedPath: MARKS.expectedPath,
    foundAt: MARKS.foundAt,
    judged: MARKS.judged,
    size: Number(MARKS.size),
    digests: { crc32: MARKS.digests },
    dump: MARKS.dump,
    expected: {
      dumps: [{ label: 'x', size: 1, crc32: MARKS.expected, md5: null, sha1: null, sha256: null }],
    },
    diagnosis: 'word-swapped',
    facts: [fact('unlisted', { path: 'x', reason: MARKS.facts })],
    advice: advice('allow-reading', { path: MARKS.advice }),
    note: MARKS.note,
    systems: ['s1'],
  };
  const instead = fact('unlisted', { path: 'x', reason: MARKS.toGet });
  const now: Report = {
    ...report,
    manifests: report.manifests.map((source) => ({ ...source, title: MARKS.title })),
    selection: { systems: ['s1'], loadout: 'l', loadoutName: MARKS.loadout },
    systems: [
      {
        ...system,
        id: 's1',
        readiness: 'not-ready',
        requires: [{ firmware: 'f1', met: 'lacking' }],
        folders: [
          {
            path: MARKS.content,
            extensions: [],
            atLeast: 1,
            found: 1,
            enough: true,
            pictures: {
              folder: 'p',
              extensions: [],
              found: 0,
              without: [MARKS.pictures],
              unused: [],
            },
          },
        ],
      },
    ],
    firmware: [row],
    toGet: [{ anyOf: ['f1'], systems: ['s1'], optional: false, facts: [instead] }],
    hints: [{ ...hint('empty-root', {}), text: MARKS.hints }],
    strays: [{ path: MARKS.strays, size: 1 }],
    faults: [{ path: MARKS.faults, code: 'io-error', message: 'x' }],
  };
  const earlier = {
    ...now,
    systems: [],
    firmware: [{ ...row, id: 'MarkSince' }],
  };
  return { ...now, since: compareReports(earlier, now, { unchangedTime: () => false }) };
}

/** HTML may break a path after a separator, and Markdown escapes nothing of the marks. */
const plain = (text: string): string => text.replaceAll('<wbr>', '');

describe('the formats', () => {
  it.each(NAMES)('%s carries what it says, and nothing it does not', async (name) => {
    const report = await marked();
    const text = plain(renderReport(report, name, { detail: true }));
    const carried = REPORT_PARTS.filter((part) => text.includes(MARKS[part]));
    // Readiness and how a requirement is met are also told as counts.
    if (text.includes('0/1') && !carried.includes('met')) carried.push('met');
    if (name === 'csv' && carried.includes('since')) carried.splice(carried.indexOf('since'), 1);
    const inOrder = REPORT_PARTS.filter((part) => carried.includes(part));
    const due = REPORT_FORMATS[name].carries.filter((part) => name !== 'csv' || part !== 'since');
    expect(inOrder).toEqual(due);
  });

  it('are in the documents with what they leave out', () => {
    const page = readFileSync(
      new URL('../../../packages/core/docs/report-formats.md', import.meta.url),
      'utf8',
    );
    const rows = page.split('\n').filter((line) => /^\| `/.test(line));
    const told = rows.map((line) => line.split('|').map((cell) => cell.trim()));
    expect(told.map(([, name]) => name)).toEqual(NAMES.map((name) => `\`${name}\``));
    for (const [, name = '', , left = ''] of told) {
      const { carries } = REPORT_FORMATS[name.replaceAll('`', '') as ReportFormatName];
      const missing = REPORT_PARTS.filter((part) => !carries.includes(part));
      expect(left).toBe(
        missing.length === 0 ? 'nothing' : missing.map((p) => `\`${p}\``).join(', '),
      );
    }
  });
});
