import type { ProgressCount } from './progress.js';
import type { Fault, FolderSource, Listed } from './source.js';

/** The same folder; the files it lists are counted as they come. */
export function countedFolder(folder: FolderSource, count: ProgressCount): FolderSource {
  const { names } = folder;
  const digestFile = folder.digestFile?.bind(folder);
  return {
    list: (options) => counted(folder.list(options), count),
    open: (path, range) => folder.open(path, range),
    ...(digestFile === undefined ? {} : { digestFile }),
    ...(names === undefined
      ? {}
      : {
          names: {
            list: (options) => counted(names.list(options), count),
            stat: (entry) => names.stat(entry),
          },
        }),
  };
}

async function* counted<Given extends Listed | Fault | readonly (Listed | Fault)[]>(
  listing: AsyncIterable<Given>,
  count: ProgressCount,
): AsyncGenerator<Given> {
  for await (const given of listing) {
    count.found(filesIn(given));
    yield given;
  }
}

function filesIn(given: Listed | Fault | readonly (Listed | Fault)[]): number {
  if ('length' in given) return given.reduce((sum, each) => sum + filesIn(each), 0);
  return 'kind' in given && given.kind === 'file' ? 1 : 0;
}
