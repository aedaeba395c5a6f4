import {
  ReadError,
  type FolderSource,
  type ListOptions,
  type NameSource,
  type OnProgress,
  type TaskProgress,
} from '@firmtally/core';
import { folderOf, Turns } from '@firmtally/core/internal';
import { chunksOf } from './chunks.js';

/** The files of a picked folder as the core's folder source. Browsers list regular files only, so folders are told from their paths, and resolve links themselves. */
export interface PickedFolder extends FolderSource {
  /** The folder's own name; '' when nothing was picked. */
  readonly name: string;
  /** How many there are. */
  readonly files: number;
  /** For each size a browser asks the file system anew, and waits for it. */
  readonly names: NameSource;
  fileAt(path: string): File | undefined;
}

/** @param byPath the files by their path below the folder, '/'-joined */
export function pickedFolder(name: string, byPath: ReadonlyMap<string, File>): PickedFolder {
  const fileAt = (path: string): File => {
    const file = byPath.get(path);
    if (file === undefined) throw new ReadError('vanished', 'it was not picked');
    return file;
  };
  return {
    name,
    files: byPath.size,
    fileAt: (path) => byPath.get(path),
    names: {
      list: () => listed(byPath.keys()),
      stat: (entry) => {
        const { size, lastModified } = fileAt(entry.path);
        return { ...entry, size, modified: lastModified };
      },
    },
    async *list() {
      const turns = new Turns();
      for await (const entry of listed(byPath.keys())) {
        if (turns.isDue()) await turns.next();
        if (entry.kind === 'folder') yield { ...entry, size: 0 };
        else yield { ...entry, size: fileAt(entry.path).size };
      }
    },
    async *open(path, range) {
      const file = fileAt(path);
      yield* chunksOf(range === undefined ? file : file.slice(range.start, range.end));
    },
  };
}

/** The files and the folders they lie in, letting the page live meanwhile. */
async function* listed(
  paths: Iterable<string>,
): AsyncGenerator<{ readonly path: string; readonly kind: 'file' | 'folder' }> {
  const turns = new Turns();
  const folders = new Set<string>();
  for (const path of paths) {
    if (turns.isDue()) await turns.next();
    for (let above = folderOf(path); above !== '' && !folders.has(above); above = folderOf(above)) {
      folders.add(above);
      yield { path: above, kind: 'folder' };
    }
    yield { path, kind: 'file' };
  }
}

/** The same folder; tells how many of its files have been listed, or their sizes looked up. */
export function tellingLooks(picked: PickedFolder, onProgress: OnProgress): PickedFolder {
  const counting = (): ((path: string) => void) => {
    let files = 0;
    return (path) => {
      files = Math.min(files + 1, picked.files);
      onProgress(looking(files, picked.files, path));
    };
  };
  const looked = counting();
  const { names } = picked;
  return {
    ...picked,
    list: (options) => telling(picked.list(options), counting()),
    names: {
      list: (options?: ListOptions) => telling(names.list(options), counting()),
      stat: (entry) => {
        looked(entry.path);
        return names.stat(entry);
      },
    },
  };
}

async function* telling<Item extends { readonly path: string }>(
  items: AsyncIterable<Item>,
  tell: (path: string) => void,
): AsyncGenerator<Item> {
  for await (const item of items) {
    tell(item.path);
    yield item;
  }
}

/** What an `<input type="file" webkitdirectory>` picked: the folder's name, and its files without it. */
export async function fromInput(
  files: readonly File[],
  signal: AbortSignal,
  onProgress: OnProgress,
): Promise<PickedFolder> {
  const turns = new Turns();
  const byPath = new Map<string, File>();
  let name = '';
  for (const file of files) {
    if (turns.isDue()) await turns.next();
    signal.throwIfAborted();
    const path = file.webkitRelativePath;
    if (path === '')
      throw new Error('This browser gave files and no folder: drop the folder here.');
    const slash = path.indexOf('/');
    name = path.slice(0, slash);
    byPath.set(path.slice(slash + 1), file);
    onProgress(looking(byPath.size, files.length, path));
  }
  return pickedFolder(name, byPath);
}

/** So many files have been looked at. */
export function looking(files: number, totalFiles: number | null, path: string): TaskProgress {
  return {
    phase: 'list',
    files,
    totalFiles,
    bytes: 0,
    totalBytes: null,
    bytesPerSecond: null,
    path,
  };
}
