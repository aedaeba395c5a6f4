import type { TaskProgress } from '@firmtally/core';
import { ProgressCount } from '@firmtally/core/internal';
import { describe, expect, it } from 'vitest';

function counting(): { count: ProgressCount; told: TaskProgress[]; pass: (ms: number) => void } {
  let now = 1_000_000;
  const told: TaskProgress[] = [];
  const count = new ProgressCount(
    (progress) => told.push(progress),
    () => now,
  );
  return { count, told, pass: (ms) => (now += ms) };
}

describe('ProgressCount', () => {
  it('counts files and bytes, and what is left as it becomes known', () => {
    const { count, told } = counting();
    count.start('read');
    expect(told.at(-1)).toEqual({
      phase: 'read',
      files: 0,
      totalFiles: null,
      bytes: 0,
      totalBytes: null,
      bytesPerSecond: null,
      path: null,
    });
    count.expect(100);
    count.expect(50);
    count.advance(70, 'a.bin');
    count.advance(-70, 'a.bin');
    count.advance(100, 'a.bin');
    count.done('a.bin');
    expect(told.at(-1)).toMatchObject({ files: 1, totalFiles: 2, bytes: 100, totalBytes: 150 });
    expect(told.at(-1)?.path).toBe('a.bin');
    count.start('diagnose', { files: 3, bytes: 9 });
    expect(told.at(-1)).toMatchObject({ phase: 'diagnose', files: 0, totalFiles: 3, bytes: 0 });
    expect(told.at(-1)).toMatchObject({ totalBytes: 9, path: null });
  });

  it('gives the rate of the last five seconds', () => {
    const { count, told, pass } = counting();
    count.start('read');
    pass(400);
    count.advance(1000);
    expect(told.at(-1)?.bytesPerSecond).toBeNull();
    pass(600);
    count.advance(1000);
    expect(told.at(-1)?.bytesPerSecond).toBe(2000);
    // A stall of a minute, then 500 bytes a second: the fast start is forgotten.
    pass(60_000);
    for (let second = 0; second < 6; second++) {
      pass(1000);
      count.advance(500);
    }
    expect(told.at(-1)?.bytesPerSecond).toBe(500);
  });

  it('starts the rate anew when the clock is set back', () => {
    const { count, told, pass } = counting();
    count.start('read');
    pass(1000);
    count.advance(1000);
    pass(-3_600_000);
    count.advance(1000);
    expect(told.at(-1)?.bytesPerSecond).toBeNull();
    pass(1000);
    count.advance(300);
    expect(told.at(-1)?.bytesPerSecond).toBe(300);
  });
});
