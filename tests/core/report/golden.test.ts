import {
  renderCsv,
  renderHtml,
  renderJson,
  renderMarkdown,
  renderTap,
  type Report,
} from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import { SAMPLE_ITEMS, sampleReport } from '../../support/sample-report.js';

// Read a changed golden file before it is accepted (`vitest run -u`): it is what people get.
describe('the sample report', () => {
  it.each([
    ['json', renderJson],
    ['md', renderMarkdown],
    // Git would turn CRLF into LF; that it is CRLF is tested where it is read back.
    ['csv', (report: Report) => renderCsv(report).replaceAll('\r\n', '\n')],
    ['tap', renderTap],
    ['html', renderHtml],
  ])('as %s', async (ending, render) => {
    await expect(render(await sampleReport())).toMatchFileSnapshot(`golden/sample.${ending}`);
  });

  it('is the same bytes whatever the order of listing and the number of jobs', async () => {
    const once = renderJson(await sampleReport());
    const backwards = Object.fromEntries(Object.entries(SAMPLE_ITEMS).reverse());
    expect(renderJson(await sampleReport({ items: backwards, jobs: 1 }))).toBe(once);
    expect(renderJson(await sampleReport({ jobs: 9 }))).toBe(once);
  });
});
