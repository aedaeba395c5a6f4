/**
 * Reports that were written before, each of which today's reader must still
 * read and compare: one of every released version, and one as a later minor
 * version might write it, with more in it than is known. Never rewrite one.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { compareReports, parseReport } from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import { sampleReport } from '../../support/sample-report.js';

const folder = new URL('earlier/', import.meta.url);
const files = readdirSync(folder);

describe('an earlier report', () => {
  it('there is one at least', () => {
    expect(files).toContain('1-with-more.json');
  });

  it.each(files)('%s is read and compared', async (file) => {
    const earlier = parseReport(readFileSync(new URL(file, folder), 'utf8'), file);
    const now = await sampleReport();
    const { unchanged, changedBytes, appeared, gone } = compareReports(earlier, now, {
      unchangedTime: () => true,
    });
    expect({ appeared, gone }).toEqual({ appeared: [], gone: [] });
    expect(unchanged).toBe(now.firmware.length - 1);
    expect(changedBytes.map((change) => change.firmware)).toContain('osprey-boot');
  });
});
