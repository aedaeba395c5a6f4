import { clustersOfFile, clustersOfFolder, parseClusterSize } from '@firmtally/core/internal';
import { describe, expect, it } from 'vitest';

// Microsoft FAT32 File System Specification: space is given out in whole clusters; an empty file has none.
describe('clustersOfFile', () => {
  it.each([
    [0, 0],
    [1, 1],
    [16384, 1],
    [16385, 2],
    [0xffff_ffff, 262144],
  ])('%i bytes take %i clusters of 16 KiB', (size, clusters) => {
    expect(clustersOfFile(size, 16384)).toBe(clusters);
  });
});

// The same: directory entries have 32 bytes; a long name takes one more for each 13 units.
describe('clustersOfFolder', () => {
  it('counts "." and ".." and the long names', () => {
    expect(clustersOfFolder([], 512)).toBe(1);
    // 2 + 7 * (1 + 1) = 16 entries = 512 bytes.
    const seven = Array.from({ length: 7 }, (_, index) => `name-${index}`);
    expect(clustersOfFolder(seven, 512)).toBe(1);
    expect(clustersOfFolder([...seven, 'one-more'], 512)).toBe(2);
    // 2 + 1 + 20 = 23 entries for one name of 255 units.
    expect(clustersOfFolder(['n'.repeat(255)], 512)).toBe(2);
  });
});

describe('parseClusterSize', () => {
  it.each([
    ['512', 512],
    ['16384', 16384],
    ['16K', 16384],
    ['16k', 16384],
    ['32KiB', 32768],
    ['1M', 1048576],
    ['32MB', 33554432],
  ])('%s is %i bytes', (text, size) => {
    expect(parseClusterSize(text)).toBe(size);
  });

  it.each(['', '0', '-1', '1000', '256', '64M', '16.5K', 'K', '1e3', '16 K B', '99999999999'])(
    'refuses %j',
    (text) => {
      expect(parseClusterSize(text)).toBeNull();
    },
  );
});
