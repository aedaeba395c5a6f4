import { lstatSync, statSync, type Stats } from 'node:fs';
import { basename, resolve } from 'node:path';
import { FirmtallyError, type Entry, type FolderSource, type PileSource } from '@firmtally/core';
import { restartingDigester, type DigesterOptions, type HostDigester } from '../digest/digester.js';
import { namedFiles } from './named-files.js';
import { toNative } from './native-path.js';
import { openFolder } from './open-folder.js';
import { withSlashes } from './with-slashes.js';

/** A folder or file of this machine that a task takes bytes from. */
export interface OpenSource extends PileSource {
  readonly folder: FolderSource & HostDigester;
}

/**
 * Opens what a person named to take files from. Links that are named are
 * followed, links inside folders are not.
 *
 * @param path absolute, or relative to `cwd`; the source is called so
 * @throws FirmtallyError `io-error` for a path that is neither file nor folder, `root-unreadable` for a folder that cannot be listed
 */
export async function openSource(
  path: string,
  cwd: string,
  options: DigesterOptions,
): Promise<OpenSource> {
  const absolute = resolve(cwd, path);
  const name = withSlashes(path);
  const stats = statsOf(absolute, path);
  if (stats.isDirectory()) {
    return { name, kind: 'folder', folder: await openFolder(path, { ...options, cwd }) };
  }
  return { name, kind: 'file', folder: folderOfOne(absolute, stats.size, options) };
}

/** Opens each path once for a task, and closes all of them when it is over. */
export async function withSources<Result>(
  paths: readonly string[],
  { cwd, ...options }: DigesterOptions & { readonly cwd: string },
  task: (sources: readonly OpenSource[]) => Promise<Result>,
): Promise<Result> {
  const sources: OpenSource[] = [];
  try {
    for (const path of new Set(paths)) sources.push(await openSource(path, cwd, options));
    return await task(sources);
  } finally {
    for (const { folder } of sources) await folder.close();
  }
}

/** A folder in which there is nothing but one file. */
function folderOfOne(
  absolute: string,
  size: number,
  options: DigesterOptions,
): OpenSource['folder'] {
  const files = namedFiles('/');
  const digester = restartingDigester(files, options);
  const entry: Entry = { path: basename(absolute), kind: 'file', size };
  return {
    // eslint-disable-next-line @typescript-eslint/require-await -- entries come asynchronously by contract
    async *list() {
      yield entry;
    },
    open: (_, range) => files.open(absolute, range),
    digestFile: (_, algorithms, reading) => digester.digestFile(absolute, algorithms, reading),
    close: () => digester.close(),
  };
}

function statsOf(absolute: string, path: string): Stats {
  let stats: Stats;
  try {
    stats = statSync(toNative(absolute));
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code !== 'ENOENT') {
      throw trouble(`${path}: it cannot be looked at (${code ?? String(error)})`, null, error);
    }
    const isLink = lstatSync(toNative(absolute), { throwIfNoEntry: false }) !== undefined;
    const why = isLink ? 'a link that leads nowhere' : 'no such file or folder';
    throw trouble(`${path}: ${why}`, 'Check the path.', error);
  }
  if (stats.isDirectory() || stats.isFile()) return stats;
  throw trouble(`${path}: it is neither a file nor a folder`, 'Name files and folders only.');
}

function trouble(message: string, remedy: string | null, cause?: unknown): FirmtallyError {
  return new FirmtallyError('io-error', message, remedy, { cause });
}
