import type { Algorithm, DigestOptions } from '../bytes/digests.js';
import type { ProgressCount, TaskOptions } from '../bytes/progress.js';
import type { Fault } from '../bytes/source.js';
import { eachLimited } from '../each-limited.js';
import type { DigestedFile } from './document.js';

/** Which digests are taken when nobody says. */
export const USUAL_ALGORITHMS: readonly Algorithm[] = ['crc32', 'md5', 'sha1'];

/** A file of which digests are wanted. */
export interface WantedFile {
  /** As progress and the row name it. */
  readonly path: string;
  readonly algorithms: readonly Algorithm[];
  /** Bytes, as far as is known before it is read; Infinity when nobody knows. */
  readonly size: number;
}

/** What became of a file: its digests, or why it could not be read. */
export type DigestRow = DigestedFile | Fault;

/** How files are digested. */
export interface RowsOptions<File extends WantedFile> extends Omit<TaskOptions, 'onProgress'> {
  /** Digests one file. What it throws ends the task. */
  readonly digest: (file: File, work: DigestOptions) => Promise<DigestRow>;
  /** Files in work at the same time, at most. */
  readonly jobs: number;
  readonly count: ProgressCount;
  /** Given each row as soon as it and all before it are done; waited for. */
  readonly onFile?: ((row: DigestRow) => void | Promise<void>) | undefined;
}

/** The rows of some files, in their order. */
export async function digestRows<File extends WantedFile>(
  wanted: readonly File[],
  { digest, jobs, count, onFile, signal }: RowsOptions<File>,
): Promise<DigestRow[]> {
  signal?.throwIfAborted();
  const rows: DigestRow[] = [];
  let told = 0;
  let telling = Promise.resolve();
  const tell = async (): Promise<void> => {
    for (let row = rows[told]; row !== undefined; row = rows[told]) {
      told += 1;
      await onFile?.(row);
    }
  };
  const total = wanted.reduce((sum, { size }) => sum + size, 0);
  count.start('read', { files: wanted.length, ...(total < Infinity ? { bytes: total } : {}) });
  // The biggest first, so that no thread is left alone with one at the end.
  const order = [...wanted.entries()].sort(([a, { size: sizeA }], [b, { size: sizeB }]) =>
    sizeA === sizeB ? a - b : sizeB - sizeA,
  );
  await eachLimited(order, jobs, async ([index, file]) => {
    const onBytes = (bytes: number): void => count.advance(bytes, file.path);
    rows[index] = await digest(file, { onBytes, signal });
    count.done(file.path);
    telling = telling.then(tell);
    await telling;
  });
  return rows;
}
