import { REPORT_FORMATS, renderReport, type ReportFormatName } from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import { SAMPLE_ITEMS, sampleReport } from '../../support/sample-report.js';

// Read a changed golden file before it is accepted (`vitest run -u`): it is what people get.
describe('the sample report', () => {
  it.each(Object.keys(REPORT_FORMATS) as ReportFormatName[])('as %s', async (name) => {
    // Git would turn CRLF into LF; that it is CRLF is tested where it is read back.
    const text = renderReport(await sampleReport(), name).replaceAll('\r\n', '\n');
    const { extension } = REPORT_FORMATS[name];
    await expect(text).toMatchFileSnapshot(`golden/sample.${extension}`);
  });

  it('is the same bytes whatever the order of listing and the number of jobs', async () => {
    const once = renderReport(await sampleReport(), 'json');
    const backwards = Object.fromEntries(Object.entries(SAMPLE_ITEMS).reverse());
    expect(renderReport(await sampleReport({ items: backwards, jobs: 1 }), 'json')).toBe(once);
    expect(renderReport(await sampleReport({ jobs: 9 }), 'json')).toBe(once);
  });
});
