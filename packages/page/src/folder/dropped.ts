/** A path below the folder that was picked, and its file, which a drop finds when it is asked. */
export interface Picked {
  readonly path: string;
  readonly file: File | (() => Promise<File>);
}

/** A folder that was dropped; its files come as they are found. */
export interface DroppedFolder {
  readonly name: string;
  files(): AsyncIterable<Picked>;
}

/** What was dropped on the page. */
export interface Dropped {
  readonly folders: readonly DroppedFolder[];
  /** Those that lie in no dropped folder. */
  files(): Promise<readonly File[]>;
}

/**
 * What a drop holds (File and Directory Entries API, WICG). The entries have to
 * be taken before the event ends, so call this in the listener itself.
 */
export function droppedItems(items: DataTransferItemList): Dropped {
  const entries = [...items].flatMap((item) => {
    const entry = item.kind === 'file' ? item.webkitGetAsEntry() : null;
    return entry === null ? [] : [entry];
  });
  const loose = entries.filter((entry) => entry.isFile) as FileSystemFileEntry[];
  const folders = entries.filter((entry) => entry.isDirectory) as FileSystemDirectoryEntry[];
  return {
    folders: folders.map((folder) => ({ name: folder.name, files: () => filesBelow(folder) })),
    files: () => Promise.all(loose.map((entry) => said(fileOf(entry)))),
  };
}

/** Without recursion, so that a deep tree cannot exhaust the stack. */
async function* filesBelow(top: FileSystemDirectoryEntry): AsyncGenerator<Picked> {
  const waiting = [{ folder: top, path: '' }];
  for (let next = waiting.pop(); next !== undefined; next = waiting.pop()) {
    const { folder, path } = next;
    for (const entry of await said(entriesOf(folder))) {
      const below = path === '' ? entry.name : `${path}/${entry.name}`;
      if (entry.isDirectory) {
        waiting.push({ folder: entry as FileSystemDirectoryEntry, path: below });
      } else {
        yield { path: below, file: () => fileOf(entry as FileSystemFileEntry) };
      }
    }
  }
}

async function said<Value>(looking: Promise<Value>): Promise<Value> {
  try {
    return await looking;
  } catch (error) {
    if (!(error instanceof DOMException)) throw error;
    const message = 'A file went away while the folder was looked at: was the card pulled out?';
    throw new Error(message, { cause: error });
  }
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
