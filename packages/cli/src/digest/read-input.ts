import { fstatSync, statSync } from 'node:fs';
import {
  digestStream,
  ReadError,
  type Algorithm,
  type FileDigester,
  type StreamDigests,
} from '@firmtally/core';
import { nativeEngine, type HostFiles } from '@firmtally/host';
import type { Context } from '../context.js';

/** The argument that stands for standard input. */
export const STDIN = '-';

/** One input that was digested, or why it was not. */
export type Outcome =
  | { readonly path: string; readonly digested: StreamDigests }
  | { readonly path: string; readonly error: ReadError };

/** Digests one named file. Only a ReadError is an outcome; anything else is thrown. */
export async function digestInput(
  path: string,
  algorithms: readonly Algorithm[],
  digester: FileDigester,
  onBytes: (count: number) => void,
): Promise<Outcome> {
  try {
    return { path, digested: await digester.digestFile(path, algorithms, { onBytes }) };
  } catch (error) {
    if (error instanceof ReadError) return { path, error };
    throw error;
  }
}

/** Digests standard input. */
export async function digestStdin(
  algorithms: readonly Algorithm[],
  context: Context,
  onBytes: (count: number) => void,
): Promise<Outcome> {
  // Node reads a folder as an empty stream.
  if (context.stdin === process.stdin && fstatSync(process.stdin.fd).isDirectory()) {
    return { path: STDIN, error: new ReadError('not-a-file', 'it is a folder') };
  }
  try {
    const digested = await digestStream(context.stdin, algorithms, nativeEngine, { onBytes });
    return { path: STDIN, digested };
  } catch (error) {
    return {
      path: STDIN,
      error: new ReadError('io-error', 'standard input failed', { cause: error }),
    };
  }
}

/** Why a file the user named cannot be read, and what to do. */
export function explain(error: ReadError): string {
  if (error.code === 'vanished') return 'no such file';
  if (error.code !== 'not-a-file') return error.message;
  return error.message === 'it is a folder'
    ? 'it is a folder; name the files in it'
    : `${error.message}; only regular files are read, and standard input as ${STDIN}`;
}

/** Bytes of all files together as far as they can be seen, for the progress line. */
export function totalSize(files: HostFiles, paths: Iterable<string>): number {
  let total = 0;
  for (const path of paths) {
    try {
      total += statSync(files.absolute(path), { throwIfNoEntry: false })?.size ?? 0;
    } catch {
      // Digesting the file tells what is wrong with it.
    }
  }
  return total;
}
