import { ReadError } from '@firmtally/core';
import type { Entry } from 'yauzl';

/** Fixed part of a local file header in bytes (APPNOTE 4.3.7). */
const LOCAL_HEADER = 30;

/**
 * Refuses a ZIP whose members share bytes: what one of them takes is then
 * inflated again for each, so that a few kilobytes become any number of
 * gigabytes (David Fifield, "A better zip bomb", WOOT '19). Nothing that packs
 * files writes such a one; Info-ZIP's unzip refuses it as well.
 *
 * @throws ReadError('bad-archive')
 */
export function refuseOverlap(entries: Iterable<Entry>): void {
  const extents = [...entries].map((entry) => {
    const start = entry.relativeOffsetOfLocalHeader;
    // The local header's name is as long as the directory's, or it is no header of this member.
    return { start, end: start + LOCAL_HEADER + entry.fileNameLength + entry.compressedSize };
  });
  extents.sort((a, b) => a.start - b.start);
  for (const [index, { start }] of extents.entries()) {
    const before = extents[index - 1];
    if (before !== undefined && start < before.end) {
      throw new ReadError('bad-archive', 'members of the ZIP overlap, so it is not read');
    }
  }
}
