import { count, type OnProgress } from '@firmtally/core';
import { byteCount } from '../terminal/byte-count.js';
import type { Progress } from '../terminal/progress.js';

/** Passes an audit's progress on to the line on stderr. */
export function showProgress(line: Progress): OnProgress {
  let bytes = 0;
  return (progress) => {
    switch (progress.phase) {
      case 'list':
        line.at('listing the folder');
        break;
      case 'read':
        line.advance(progress.bytes - bytes);
        bytes = progress.bytes;
        // The total grows as more files turn out to matter, so it is part of the text.
        line.at(
          `of ${byteCount(progress.totalBytes ?? 0)}, ${String(progress.files)} of ${count(progress.totalFiles ?? 0, 'file')} done`,
        );
        break;
      case 'diagnose':
        line.at(
          `diagnosing file ${String(progress.files + 1)} of ${String(progress.totalFiles ?? 0)}`,
        );
    }
  };
}
