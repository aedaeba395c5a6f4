import { fstatSync } from 'node:fs';
import {
  digestStream,
  ReadError,
  type Algorithm,
  type DigestDocument,
  type DigestOptions,
  type DigestRow,
  type DigestSourcesOptions,
  type Fault,
} from '@firmtally/core';
import {
  abortable,
  digestDocument,
  digestedFile,
  digestRows,
  ProgressCount,
  USUAL_ALGORITHMS,
  type ListedFile,
  type WantedFile,
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

/** Which digests {@link digestFiles} takes, and who is told of each file. */
export interface DigestFilesOptions
  extends DigestTaskOptions, Pick<DigestSourcesOptions, 'algorithms' | 'onFile'> {}

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
  const { algorithms = USUAL_ALGORITHMS, onFile } = options;
  const wanted = paths.map((path) => ({ path, algorithms }));
  return digestDocument(await digestAll(wanted, options, onFile));
}

/** The rows of some files, in their order. */
export async function digestAll(
  wanted: readonly ListedFile[],
  options: DigestTaskOptions,
  onFile?: DigestFilesOptions['onFile'],
): Promise<DigestRow[]> {
  const { signal, stdin, jobs, onNotice } = options;
  const files = namedFiles(options.cwd ?? process.cwd());
  const digester = createDigester(files, { jobs, onNotice });
  try {
    signal?.throwIfAborted();
    const sized = wanted.map(({ path: asGiven, algorithms }) => {
      const isStdin = asGiven === STDIN && stdin !== undefined;
      const size = isStdin ? Infinity : sizeOf(files.absolute(asGiven));
      return { path: withSlashes(asGiven), asGiven, algorithms, size };
    });
    return await digestRows(sized, {
      digest: (file, work) =>
        file.size === Infinity && stdin !== undefined
          ? digestStdin(stdin, file.algorithms, work)
          : digestOne(file, digester, work),
      jobs: LANES,
      count: new ProgressCount(options.onProgress),
      ...{ onFile, signal },
    });
  } finally {
    await digester.close();
  }
}

/** A file that a person named. */
interface NamedFile extends WantedFile {
  readonly asGiven: string;
}

/** Only a ReadError is a fault; anything else is thrown. */
async function digestOne(
  { path, asGiven, algorithms }: NamedFile,
  digester: HostDigester,
  work: DigestOptions,
): Promise<DigestRow> {
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
): Promise<DigestRow> {
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
