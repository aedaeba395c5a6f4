import {
  compareReports,
  FirmtallyError,
  parseReport,
  renderReport,
  type Report,
} from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import { sampleReport } from '../../support/sample-report.js';

function refusal(text: string): FirmtallyError {
  try {
    parseReport(text, 'before.json');
  } catch (error) {
    if (error instanceof FirmtallyError) return error;
    throw error;
  }
  throw new Error('was accepted');
}

describe('parseReport', () => {
  it('reads what renderJson wrote, also after a byte order mark', async () => {
    const report = await sampleReport();
    expect(parseReport(renderReport(report, 'json'), 'x')).toEqual(report);
    expect(parseReport(`\ufeff${renderReport(report, 'json')}`, 'x')).toEqual(report);
  });

  it.each([
    ['no JSON', 'firmtally: 1', /^before\.json is not JSON: /],
    ['cut off', '{"report":1', /^before\.json is not JSON: /],
    [
      'another document',
      '{"validation":1,"problems":[]}',
      /^before\.json is not a Firmtally report/,
    ],
    ['a list', '[]', /is not a Firmtally report: at the top it must be object/],
    ['a later format', '{"report":2}', /is not a Firmtally report/],
    ['a hostile key', '{"__proto__":{"report":1}}', /is not a Firmtally report/],
  ])('refuses %s with a remedy', (_, text, message) => {
    const error = refusal(text);
    expect(error.code).toBe('report-invalid');
    expect(error.message).toMatch(message);
    expect(error.remedy).toBe('Give a report that an audit wrote as JSON.');
  });

  it('reads a report with more in it than is known, at every place', async () => {
    const report = await sampleReport();
    const more = JSON.parse(JSON.stringify(report), (_, value: unknown) =>
      typeof value === 'object' && value !== null && !Array.isArray(value)
        ? { ...value, later: { added: true } }
        : value,
    ) as Report;
    const read = parseReport(JSON.stringify(more), 'later.json');
    const since = compareReports(read, report, { unchangedTime: () => true });
    expect(since).toMatchObject({ unchanged: report.firmware.length, changedBytes: [] });
  });

  it('names the place of what is wrong', async () => {
    const report = await sampleReport();
    const [first] = report.firmware;
    const broken = { ...report, firmware: [{ ...first, verdict: 'fine' }] };
    expect(refusal(JSON.stringify(broken)).message).toContain('/firmware/0/verdict');
  });
});
