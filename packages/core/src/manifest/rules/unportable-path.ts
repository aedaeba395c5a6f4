import { checkFatPath } from '../../text/fat.js';
import { writtenPaths } from '../shape/paths.js';
import type { CheckedRule } from './check.js';
import { isSafePath } from './unsafe-path.js';

/** Cards are FAT and mostly prepared on Windows. */
export const unportablePath: CheckedRule = {
  id: 'unportable-path',
  severity: 'warning',
  description: 'A path can be stored on a FAT card and handled by Windows.',
  check({ files, problems }) {
    for (const { text, kind } of files.flatMap(writtenPaths)) {
      // Names inside a ZIP never reach the card; unsafe ones have their own rule.
      if (kind === 'member' || !isSafePath(text.value)) continue;
      if (problems.isFull('warning')) return;
      // A path of many names may break one rule many times.
      const first = new Map(
        checkFatPath(text.value)
          .reverse()
          .map(({ rule, message }) => [rule, message]),
      );
      for (const message of first.values()) problems.add(unportablePath, text.spot, { message });
    }
  },
};
