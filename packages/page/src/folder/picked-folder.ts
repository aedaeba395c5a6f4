import { ReadError, type FolderSource } from '@firmtally/core';
import { foldersAbove } from '@firmtally/core/internal';
import { chunksOf } from './chunks.js';

/** One picked or dropped file and its path below what was picked, '/'-joined. */
export interface PickedFile {
  readonly path: string;
  readonly file: File;
}

/** The files of a picked folder as the core's folder source. Browsers list regular files only, so folders are told from their paths, and resolve links themselves. */
export interface PickedFolder extends FolderSource {
  /** The folder's own name; '' when nothing was picked. */
  readonly name: string;
  /** How many there are. */
  readonly files: number;
  fileAt(path: string): File | undefined;
}

export function pickedFolder(name: string, files: readonly PickedFile[]): PickedFolder {
  const byPath = new Map(files.map(({ path, file }) => [path, file]));
  const folders = new Set(files.flatMap(({ path }) => foldersAbove(path)));
  return {
    name,
    files: byPath.size,
    fileAt: (path) => byPath.get(path),
    // eslint-disable-next-line @typescript-eslint/require-await -- async by its type
    async *list() {
      for (const path of folders) yield { path, kind: 'folder', size: 0 };
      for (const [path, file] of byPath) {
        yield { path, kind: 'file', size: file.size, modified: file.lastModified };
      }
    },
    async *open(path, range) {
      const file = byPath.get(path);
      if (file === undefined) throw new ReadError('vanished', 'it was not picked');
      yield* chunksOf(range === undefined ? file : file.slice(range.start, range.end));
    },
  };
}

/** What an `<input type="file" webkitdirectory>` picked: the folder's name, and its files without it. */
export function fromInput(files: Iterable<File>): PickedFolder {
  let name = '';
  const picked: PickedFile[] = [];
  for (const file of files) {
    const [top = '', ...rest] = file.webkitRelativePath.split('/');
    name = top;
    picked.push({ path: rest.join('/'), file });
  }
  return pickedFolder(name, picked);
}
