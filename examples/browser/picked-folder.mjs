import { ReadError } from '@firmtally/core';

/**
 * The files of an `<input type="file" webkitdirectory>` as the core's folder
 * source. Browsers list regular files only and resolve links themselves.
 * @param {readonly File[]} files
 * @returns {import('@firmtally/core').FolderSource & {readonly name: string}}
 */
export function pickedFolder(files) {
  const byPath = new Map(files.map((file) => [pathBelowRoot(file), file]));
  return {
    name: files[0]?.webkitRelativePath.split('/')[0] ?? '',
    // eslint-disable-next-line @typescript-eslint/require-await -- async by its type
    async *list() {
      for (const [path, file] of byPath) {
        yield { path, kind: 'file', size: file.size, modified: file.lastModified };
      }
    },
    async *open(path, range) {
      const file = byPath.get(path);
      if (file === undefined) throw new ReadError('vanished', 'it was not picked');
      const part = range === undefined ? file : file.slice(range.start, range.end);
      yield* chunksOf(part);
    },
  };
}

/** @param {File} file */
function pathBelowRoot(file) {
  return file.webkitRelativePath.split('/').slice(1).join('/');
}

/**
 * As `for await` over the stream, which not every browser has.
 * @param {Blob} blob
 * @returns {AsyncGenerator<Uint8Array>}
 */
async function* chunksOf(blob) {
  const reader = blob.stream().getReader();
  try {
    for (;;) {
      const { done, value } = await reader.read();
      if (done) return;
      yield value;
    }
  } catch (error) {
    // A picked file that changed or went away since cannot be read any more.
    throw new ReadError('changed-while-read', 'it changed or went away after it was picked', {
      cause: error,
    });
  } finally {
    await reader.cancel().catch(() => undefined); // there is nothing left to cancel then
  }
}
