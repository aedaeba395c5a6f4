import type { OnProgress } from '@firmtally/core';
import { looking, pickedFolder, type PickedFolder } from './picked-folder.js';

/** What was dropped on the page: a folder, or loose files. */
export interface Dropped {
  readonly folder: PickedFolder | null;
  readonly files: readonly File[];
}

/**
 * What reads a drop (File and Directory Entries API, WICG). The entries have to be
 * taken before the event ends, so call this in the listener itself.
 */
export function droppedItems(
  items: DataTransferItemList,
): (signal: AbortSignal, onProgress: OnProgress) => Promise<Dropped> {
  const entries = [...items].flatMap((item) => {
    const entry = item.kind === 'file' ? item.webkitGetAsEntry() : null;
    return entry === null ? [] : [entry];
  });
  const folder = entries.find((entry) => entry.isDirectory);
  const loose = entries.filter((entry) => entry.isFile);
  return async (signal, onProgress) => {
    try {
      const files = await Promise.all(loose.map((entry) => fileOf(entry as FileSystemFileEntry)));
      if (folder === undefined) return { folder: null, files };
      const top = folder as FileSystemDirectoryEntry;
      const below = await filesBelow(top, signal, onProgress);
      return { folder: pickedFolder(top.name, below), files };
    } catch (error) {
      if (!(error instanceof DOMException) || signal.aborted) throw error;
      const message = 'A file went away while the folder was looked at: was the card pulled out?';
      throw new Error(message, { cause: error });
    }
  };
}

/** Without recursion, so that a deep tree cannot exhaust the stack. */
async function filesBelow(
  top: FileSystemDirectoryEntry,
  signal: AbortSignal,
  onProgress: OnProgress,
): Promise<Map<string, File>> {
  const found = new Map<string, File>();
  const waiting = [{ folder: top, path: '' }];
  for (let next = waiting.pop(); next !== undefined; next = waiting.pop()) {
    const { folder, path } = next;
    for (const entry of await entriesOf(folder)) {
      const below = path === '' ? entry.name : `${path}/${entry.name}`;
      signal.throwIfAborted();
      if (entry.isDirectory) {
        waiting.push({ folder: entry as FileSystemDirectoryEntry, path: below });
      } else {
        found.set(below, await fileOf(entry as FileSystemFileEntry));
        onProgress(looking(found.size, null, below));
      }
    }
  }
  return found;
}

/** A reader gives a folder in parts, an empty one last. */
async function entriesOf(folder: FileSystemDirectoryEntry): Promise<FileSystemEntry[]> {
  const reader = folder.createReader();
  const all: FileSystemEntry[] = [];
  for (;;) {
    const part = await new Promise<FileSystemEntry[]>((resolve, reject) => {
      reader.readEntries(resolve, reject);
    });
    if (part.length === 0) return all;
    for (const entry of part) all.push(entry);
  }
}

function fileOf(entry: FileSystemFileEntry): Promise<File> {
  return new Promise((resolve, reject) => {
    entry.file(resolve, reject);
  });
}
