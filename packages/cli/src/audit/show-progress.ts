import type { AuditProgress } from '@firmtally/core';
import type { Progress } from '../terminal/progress.js';

/** Passes an audit's progress on to the line on stderr. */
export function showProgress(line: Progress): (progress: AuditProgress) => void {
  let bytes = 0;
  return (progress) => {
    switch (progress.phase) {
      case 'list':
        line.at('listing the folder');
        break;
      case 'read':
        line.advance(progress.bytes - bytes);
        bytes = progress.bytes;
        line.at(`file ${String(progress.files)} of ${String(progress.totalFiles)}`);
        break;
      case 'diagnose':
        line.at(`diagnosing file ${String(progress.files + 1)} of ${String(progress.totalFiles)}`);
    }
  };
}
