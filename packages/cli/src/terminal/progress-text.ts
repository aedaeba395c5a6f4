import { escapeText, type TaskPhase, type TaskProgress } from '@firmtally/core';
import { byteCount, count } from '@firmtally/core/internal';
import { cellsOf, cutMiddle } from './cut.js';

const DOING: Readonly<Record<TaskPhase, string>> = {
  list: 'Listing',
  read: 'Reading',
  diagnose: 'Looking at damage',
  place: 'Placing',
};

/** Cells of a name below which it is left out. */
const LEAST_NAME = 8;

/**
 * One line that tells how far a task is, in at most `columns` cells: what is
 * being done, percent, bytes, rate, time left, the file. What does not fit is
 * left out, the least telling first.
 */
export function progressText(
  progress: TaskProgress,
  { columns, ascii }: { readonly columns: number; readonly ascii: boolean },
): string {
  const [first = '', ...others] = partsOf(progress);
  let line = first;
  for (const part of others) {
    if (cellsOf(line) + 2 + part.length <= columns) line += `  ${part}`;
  }
  const room = columns - cellsOf(line) - 2;
  if (progress.path === null || room < LEAST_NAME) return cutMiddle(line, columns, ascii);
  return `${line}  ${cutMiddle(escapeText(progress.path), room, ascii)}`;
}

function partsOf(progress: TaskProgress): string[] {
  const { phase, files, totalFiles, bytes, totalBytes, bytesPerSecond } = progress;
  const doing = DOING[phase];
  if (phase === 'list') return [files === 0 ? doing : `${doing}: ${count(files, 'file')}`];
  const rate = bytesPerSecond === null || bytesPerSecond < 1 ? null : bytesPerSecond;
  const share = shareOf(progress);
  return [
    share === null ? doing : `${doing} ${percent(share)}`,
    ...(totalBytes !== null && totalBytes > 0
      ? [`${byteCount(Math.min(bytes, totalBytes))} of ${byteCount(totalBytes)}`]
      : bytes > 0
        ? [byteCount(bytes)]
        : totalFiles === null
          ? []
          : [`file ${Math.min(files + 1, totalFiles)} of ${totalFiles}`]),
    ...(rate === null ? [] : [`${byteCount(Math.round(rate))}/s`]),
    ...(rate === null || totalBytes === null || bytes >= totalBytes
      ? []
      : [`${duration((totalBytes - bytes) / rate)} left`]),
  ];
}

/** What is done, of 1; by bytes, or by files where no bytes are counted; null while nobody knows. */
function shareOf({ files, totalFiles, bytes, totalBytes }: TaskProgress): number | null {
  if (totalBytes !== null && totalBytes > 0) return Math.min(1, Math.max(0, bytes) / totalBytes);
  if (totalFiles !== null && totalFiles > 0) return Math.min(1, files / totalFiles);
  return null;
}

/** Never 0 % once something is done, nor 100 % before all is. */
function percent(share: number): string {
  if (share > 0 && share < 0.01) return '<1%';
  return `${Math.floor(share * 100)}%`;
}

function duration(seconds: number): string {
  const whole = Math.max(1, Math.ceil(seconds));
  if (whole < 60) return `${whole} s`;
  const minutes = Math.ceil(whole / 60);
  if (minutes < 60) return `${minutes} min`;
  return minutes < 48 * 60 ? `${Math.ceil(minutes / 60)} h` : `${Math.ceil(minutes / 1440)} days`;
}
