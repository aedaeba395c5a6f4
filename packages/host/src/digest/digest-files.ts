import { fstatSync } from 'node:fs';
import {
  digestStream,
  ReadError,
  type Algorithm,
  type DigestDocument,
  type DigestedFile,
  type DigestOptions,
  type Fault,
} from '@firmtally/core';
import {
  abortable,
  digestDocument,
  digestedFile,
  eachLimited,
  ProgressCount,
} from '@firmtally/core/internal';
import { namedFiles } from '../folder/named-files.js';
import { withSlashes } from '../folder/with-slashes.js';
import { createDigester, sizeOf, type HostDigester } from './digester.js';
import type { HostTaskOptions } from '../platform.js';
import { nativeEngine } from './native-engine.js';

/** The path that stands for standard input, where that is given. */
export const STDIN = '-';

/** Files in work at once: enough to keep every thread busy, few enough for a list of any length. */
const LANES = 64;

/** What tasks on digests take. */
export interface DigestTaskOptions extends HostTaskOptions {
  /** Read where `-` is named; without it that is a file like any other. */
  readonly stdin?: AsyncIterable<Uint8Array> | undefined;
}

/** What {@link digestFiles} takes. */
export interface DigestFilesOptions extends DigestTaskOptions {
  /** CRC-32, MD5 and SHA-1 when not given. */
  readonly algorithms?: readonly Algorithm[] | undefined;
  /** Given each file's row as soon as it and all before it are done; waited for. */
  readonly onFile?: ((row: DigestedFile | Fault) => void | Promise<void>) | undefined;
}

/**
 * Digests files, and standard input: the whole task. One that cannot be read is
 * a fault, and never ends it.
 *
 * @param paths files, absolute or relative to `cwd`; regular files only, links are followed
 * @throws the signal's reason; what a callback throws
 * @example
 * const { files, faults } = await digestFiles(['card/osprey_boot.bin'], { algorithms: ['crc32'] });
 * files; // => [{ path: 'card/osprey_boot.bin', size: 9, crc32: 'cbf43926' }]
 * faults; // => []
 */
export async function digestFiles(
  paths: readonly string[],
  options: DigestFilesOptions = {},
): Promise<DigestDocument> {
  const { algorithms = ['crc32', 'md5', 'sha1'], onFile } = options;
  const wanted = paths.map((path) => ({ path, algorithms }));
  return digestDocument(await digestAll(wanted, options, onFile));
}

export interface WantedFile {
  readonly path: string;
  readonly algorithms: readonly Algorithm[];
}

type Row = DigestedFile | Fault;

/** The rows of some files, in their order. */
export async function digestAll(
  wanted: readonly WantedFile[],
  options: DigestTaskOptions,
  onFile?: (row: Row) => void | Promise<void>,
): Promise<Row[]> {
  const { signal, stdin, jobs, onNotice } = options;
  const files = namedFiles(options.cwd ?? process.cwd());
  const digester = createDigester(files, { jobs, onNotice });
  const count = new ProgressCount(options.onProgress);
  const rows: Row[] = [];
  let told = 0;
  let telling = Promise.resolve();
  const tell = async (): Promise<void> => {
    for (let row = rows[told]; row !== undefined; row = rows[told]) {
      told += 1;
      await onFile?.(row);
    }
  };
  try {
    signal?.throwIfAborted();
    const sized = wanted.map((file, index) => {
      const isStdin = file.path === STDIN && stdin !== undefined;
      return { file, index, isStdin, size: isStdin ? Infinity : sizeOf(files.absolute(file.path)) };
    });
    const total = sized.reduce((sum, { size }) => sum + size, 0);
    count.start('read', { files: sized.length, ...(total < Infinity ? { bytes: total } : {}) });
    // The biggest first, so that no thread is left alone with one at the end.
    sized.sort((a, b) => (a.size === b.size ? a.index - b.index : b.size - a.size));
    await eachLimited(sized, LANES, async ({ file, index, isStdin }) => {
      const path = withSlashes(file.path);
      const onBytes = (bytes: number): void => count.advance(bytes, path);
      rows[index] =
        isStdin && stdin !== undefined
          ? await digestStdin(stdin, file.algorithms, { onBytes, signal })
          : await digestOne(file, path, digester, { onBytes, signal });
      count.done(path);
      telling = telling.then(tell);
      await telling;
    });
    return rows;
  } finally {
    await digester.close();
  }
}

/** Only a ReadError is a fault; anything else is thrown. */
async function digestOne(
  { path: asGiven, algorithms }: WantedFile,
  path: string,
  digester: HostDigester,
  work: DigestOptions,
): Promise<Row> {
  try {
    return digestedFile(path, await digester.digestFile(asGiven, algorithms, work));
  } catch (error) {
    if (error instanceof ReadError) return namedFault(path, error);
    throw error;
  }
}

async function digestStdin(
  stdin: AsyncIterable<Uint8Array>,
  algorithms: readonly Algorithm[],
  work: DigestOptions,
): Promise<Row> {
  const { onBytes, signal } = work;
  const thrown: unknown[] = [];
  const guarded = (bytes: number): void => {
    try {
      onBytes?.(bytes);
    } catch (error) {
      thrown.push(error);
      throw error;
    }
  };
  try {
    // Node reads a folder as an empty stream.
    if (stdin === process.stdin && fstatSync(process.stdin.fd).isDirectory()) {
      throw new ReadError('not-a-file', 'it is a folder', { kind: 'folder' });
    }
    const bytes = abortable(stdin, signal);
    const digested = await digestStream(bytes, algorithms, nativeEngine, {
      onBytes: guarded,
      signal,
    });
    return digestedFile(STDIN, digested);
  } catch (error) {
    if (signal?.aborted === true || thrown.includes(error)) throw error;
    if (error instanceof ReadError) return namedFault(STDIN, error);
    return { path: STDIN, code: 'io-error', message: 'standard input failed' };
  }
}

/** Why a file that a person named cannot be read, and what to do. */
export function namedFault(path: string, { code, message, kind }: ReadError): Fault {
  if (code === 'vanished') return { path, code, message: 'no such file' };
  if (code !== 'not-a-file') return { path, code, message };
  const more = kind === 'folder' ? 'name the files in it' : 'only regular files are read';
  return { path, code, message: `${message}; ${more}` };
}
