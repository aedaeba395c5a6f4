import type { ContentSource, Entry, Listed, RandomAccess } from './source.js';

/** Where an entry's bytes are: a link is read as the file it leads to. */
export function contentPath(entry: Listed): string {
  return entry.link?.resolvesTo ?? entry.path;
}

/** An entry's bytes as random access. Each read opens the file anew, so nothing needs closing. */
export function entryAccess(source: ContentSource, entry: Entry): RandomAccess {
  const path = contentPath(entry);
  return { size: entry.size, read: (range) => source.open(path, range) };
}
