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
} from '@firmtally/core';
import { folderOf, Turns } from '@firmtally/core/internal';
import { chunksOf } from './chunks.js';
import type { HeldFiles } from './held-files.js';
import { looking } from './looking.js';

/** The files of a picked folder as the core's folder source. Browsers list regular files only, so folders are told from their paths, and resolve links themselves. */
export interface PickedFolder extends FolderSource {
  /** How many there are. */
  readonly files: number;
  /** For each size a browser asks the file system anew, and waits for it. */
  readonly names: { list(): AsyncIterable<Listed>; stat: NameSource['stat'] };
  fileAt(path: string): File | Promise<File>;
}

/** Files that the page holds, all of them if not told which, as a folder. */
export function pickedFolder(held: HeldFiles, only?: readonly string[]): PickedFolder {
  const paths = only ?? held.paths();
  const sizes = new Sizes();
  const sized = (entry: Listed, file: File): Entry | Promise<Entry> => {
    const found = { ...entry, size: file.size, modified: file.lastModified };
    return found.size > 0 ? found : sizes.emptyOnly(file).then(() => found);
  };
  return {
    files: only?.length ?? held.size,
    fileAt: (path) => held.at(path),
    names: {
      list: () => listed(paths),
      stat: (entry) => {
        const file = held.at(entry.path);
        return file instanceof File ? sized(entry, file) : file.then((had) => sized(entry, had));
      },
    },
    async *list() {
      const turns = new Turns();
      for await (const entry of listed(paths)) {
        if (turns.isDue()) await turns.next();
        if (entry.kind === 'folder') yield { ...entry, size: 0 };
        else yield await sizes.listedOf(entry.path, held);
      }
    },
    async *open(path, range) {
      const file = await held.at(path);
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

  async listedOf(path: string, held: HeldFiles): Promise<Entry | Fault> {
    try {
      const file = await held.at(path);
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
