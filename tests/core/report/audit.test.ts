import { VERDICTS, viewOf, type TaskProgress } from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import { dumpOf, firmware, manifest, system } from '../../support/entries.js';
import { MemoryFolder } from '../../support/memory-folder.js';
import { SAMPLE_ITEMS, sampleReport } from '../../support/sample-report.js';

describe('audit', () => {
  it('advises on everything but a match, in one sentence', async () => {
    const { firmware: rows } = await sampleReport();
    expect(new Set(rows.map((row) => row.verdict))).toEqual(new Set(VERDICTS));
    for (const { verdict, advice } of rows) {
      if (verdict === 'match') expect(advice).toBeNull();
      else expect(advice?.text).toMatch(/^[A-Z].*\.$/);
    }
  });

  it('names right bytes elsewhere before a diagnosis', async () => {
    const good = SAMPLE_ITEMS['fw/osprey_boot.bin'];
    const items = { 'fw/osprey_boot.bin': 'broken', 'old/boot.bin': good ?? '' };
    const { firmware: rows } = await sampleReport({ items });
    expect(rows.find((row) => row.id === 'osprey-boot')).toMatchObject({
      verdict: 'mismatch',
      foundAt: 'old/boot.bin',
      judged: 'fw/osprey_boot.bin',
      size: 6,
      diagnosis: 'truncated',
      advice: { text: 'Replace it with old/boot.bin, which has the right bytes.' },
    });
  });

  it('tells faults that no firmware row explains from the others', async () => {
    const report = await sampleReport();
    expect(report.faults.map(({ path }) => path)).toEqual(['fw/gull.bin', 'private <dir>']);
    expect(viewOf(report).otherFaults.map(({ path }) => path)).toEqual(['private <dir>']);
  });

  it('names optional firmware that is not right, of a ready system too', async () => {
    const { systems } = viewOf(await sampleReport({ items: {} }));
    const osprey = systems.find(({ id }) => id === 'osprey');
    expect(osprey?.why).toEqual([
      'osprey-boot: missing',
      'optional osprey-sound, osprey-video: missing',
    ]);
    const { 'fw/osprey_boot.bin': boot = '' } = SAMPLE_ITEMS;
    const ready = viewOf(await sampleReport({ items: { 'fw/osprey_boot.bin': boot } })).systems;
    expect(ready.find(({ id }) => id === 'osprey')).toMatchObject({
      readiness: 'ready',
      why: ['optional osprey-sound, osprey-video: missing'],
    });
  });

  it('says what to move where', async () => {
    const { firmware: rows } = await sampleReport();
    const advice = (wanted: string): unknown =>
      rows.find(({ verdict }) => verdict === wanted)?.advice?.text;
    expect(advice('misplaced')).toBe('Copy old/east.bin to fw/east.bin.');
    expect(advice('miscased')).toBe('Rename fw/VIDEO.bin to video.bin.');
  });

  it('lists strays beside expected files only, and only when asked', async () => {
    const entry = firmware('a', { path: 'fw/a.bin', dumps: [dumpOf('a')] });
    const other = firmware('b', { path: 'fw/b.bin' });
    const checks = [{ path: 'fw/games', atLeast: 1, extensions: ['osp'], pictures: null }];
    const all = manifest(
      [entry, other],
      [
        system('s', { requires: [{ firmware: 'a' }] }),
        system('t', { requires: [{ firmware: 'b' }], folders: checks }),
      ],
    );
    const folder = new MemoryFolder({
      'fw/a.bin': 'a',
      'fw/b.bin': 'b', // expected by a system that was not selected
      'fw/A.bin': 'a',
      'fw/deep/x': 'xx',
      'fw/games/one.osp': '1',
      'fw/games/one.txt': '1',
      'fw/pipe': { kind: 'fifo' },
      elsewhere: '1',
    });
    const input = { manifests: all, systems: ['s'], folder };
    expect((await sampleReport(input)).strays).toEqual([
      { path: 'fw/A.bin', size: 1 },
      { path: 'fw/deep/x', size: 2 },
      { path: 'fw/games/one.txt', size: 1 },
    ]);
    expect((await sampleReport({ ...input, strays: false })).strays).toEqual([]);
  });

  it('strict: unproven is reported as not ready', async () => {
    const { totals } = await sampleReport({ strict: true });
    expect(totals.systems).toEqual({ ready: 2, unproven: 0, 'not-ready': 3 });
  });

  it('tells its progress; bytes end at their total', async () => {
    const seen: TaskProgress[] = [];
    await sampleReport({ onProgress: (progress) => seen.push(progress) });
    expect(new Set(seen.map(({ phase }) => phase))).toEqual(new Set(['list', 'read', 'diagnose']));
    const last = seen.filter((progress) => progress.phase === 'read').at(-1);
    expect(last).toMatchObject({ bytes: last?.totalBytes, files: last?.totalFiles });
  });
});
