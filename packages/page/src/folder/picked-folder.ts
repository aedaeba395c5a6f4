import {
  FirmtallyError,
  ReadError,
  sentence,
  type Entry,
  type Fault,
  type FolderSource,
  type Listed,
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
  readonly names: { list(): AsyncIterable<Listed>; stat: NameSource['stat'] };
  fileAt(path: string): File | undefined;
}

/** @param byPath the files by their path below the folder, '/'-joined */
export function pickedFolder(name: string, byPath: ReadonlyMap<string, File>): PickedFolder {
  const fileAt = (path: string): File => {
    const file = byPath.get(path);
    if (file === undefined) throw new ReadError('vanished', 'it was not picked');
    return file;
  };
  const sizes = new Sizes();
  return {
    name,
    files: byPath.size,
    fileAt: (path) => byPath.get(path),
    names: {
      list: () => listed(byPath.keys()),
      stat: (entry) => {
        const file = fileAt(entry.path);
        const sized = { ...entry, size: file.size, modified: file.lastModified };
        return sized.size > 0 ? sized : sizes.emptyOnly(file).then(() => sized);
      },
    },
    async *list() {
      const turns = new Turns();
      for await (const entry of listed(byPath.keys())) {
        if (turns.isDue()) await turns.next();
        if (entry.kind === 'folder') yield { ...entry, size: 0 };
        else yield await sizes.listedOf(entry.path, fileAt(entry.path));
      }
    },
    async *open(path, range) {
      const file = fileAt(path);
      yield* chunksOf(range === undefined ? file : file.slice(range.start, range.end));
    },
  };
}

/** As many as may be gone while the rest is still worth reading. Own choice. */
const MAX_GONE = 100;

/** Tells files that are empty from those that are gone: a browser gives 0 for the size of both. */
class Sizes {
  #gone = 0;

  /** Throws ReadError when the file is gone, and FirmtallyError when that is so of many: then the card is. */
  async emptyOnly(file: File): Promise<void> {
    try {
      for await (const chunk of chunksOf(file)) if (chunk.length > 0) return;
    } catch (error) {
      if (!(error instanceof ReadError)) throw error;
      this.#gone += 1;
      if (this.#gone > MAX_GONE) {
        throw new FirmtallyError(
          'root-unreadable',
          `More than ${String(MAX_GONE)} files are not there any more: was the card pulled out?`,
          'Nothing can be said of the others; choose the folder again.',
          { cause: error },
        );
      }
      // Not `vanished`, which an audit takes for a file that somebody deleted.
      throw new ReadError('changed-while-read', 'it changed or went away after it was picked', {
        cause: error,
      });
    }
  }

  async listedOf(path: string, file: File): Promise<Entry | Fault> {
    try {
      if (file.size === 0) await this.emptyOnly(file);
      return { path, kind: 'file', size: file.size };
    } catch (error) {
      if (!(error instanceof ReadError)) throw error;
      return { path, code: error.code, message: sentence(error.message) };
    }
  }
}

/** The files and the folders they lie in, letting the page live meanwhile. */
async function* listed(
  paths: Iterable<string>,
): AsyncGenerator<Listed & { readonly kind: 'file' | 'folder' }> {
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
      list: () => telling(names.list(), counting()),
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
