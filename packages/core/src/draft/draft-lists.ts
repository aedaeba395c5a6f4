import { foldCase } from '../text/fold.js';
import { baseName, folderOf } from '../text/path.js';
import { assemble } from './assemble.js';
import { readList } from './list/read-list.js';
import type { Drafted, DraftNote, EntryOptions, FoundFile, LeftOut } from './model.js';

/** A list as it was read from where it lies. */
export interface ListFile {
  /** As messages name it. */
  readonly path: string;
  readonly bytes: Uint8Array;
}

/**
 * Drafts a manifest from lists: what they say, not what any file is. Several
 * rows of one name are several dumps. A file is for the system its row names,
 * else for one called as the folder in its name, else as the list.
 *
 * @throws FirmtallyError('list-invalid') when a list cannot be read at all,
 * ('usage') when an option cannot be meant
 */
export function draftLists(lists: readonly ListFile[], options: EntryOptions = {}): Drafted {
  const files: FoundFile[] = [];
  const leftOut: LeftOut[] = [];
  const notes: DraftNote[] = [];
  for (const { path: source, bytes } of lists) {
    const { rows, unused, notes: said } = readList(source, bytes);
    const name = systemName(source);
    for (const { line, path, label, size, digests, system, optional } of rows) {
      files.push({
        path,
        content: { dump: { label, size, digests } },
        system:
          system === null
            ? { key: `folder ${folderOf(path)}`, name: folderOf(path) || name }
            : { key: `name ${foldCase(system)}`, name: system },
        optional: optional ?? false,
        origin: { source, line, endLine: line, text: path },
      });
    }
    for (const item of unused) leftOut.push({ source, ...item });
    for (const { line, ...note } of said) {
      notes.push({ source, line, endLine: line, text: '', ...note });
    }
  }
  const names = lists.map(({ path }) => baseName(path)).join(', ');
  const drafted = assemble(
    { from: 'lists', title: `Draft of ${cut(names)}: check before use`, files, leftOut, notes },
    options,
  );
  return {
    ...drafted,
    leftOut: inOrder(drafted.leftOut, lists),
    notes: inOrder(drafted.notes, lists),
  };
}

function inOrder<Item extends LeftOut | DraftNote>(
  items: readonly Item[],
  lists: readonly ListFile[],
): Item[] {
  const rank = new Map(lists.map(({ path }, index) => [path, index]));
  return [...items].sort(
    (a, b) =>
      (rank.get(a.source) ?? 0) - (rank.get(b.source) ?? 0) || (a.line ?? 0) - (b.line ?? 0),
  );
}

function cut(names: string): string {
  return names.length > 200 ? `${names.slice(0, 200)}…` : names;
}

/** What the system of files without a folder is called: as the list, without its ending. */
function systemName(source: string): string {
  const name = baseName(source);
  const dot = name.lastIndexOf('.');
  // Standard input, and lists of the page, have no name of their own.
  return name.startsWith('<') ? 'list' : dot > 0 ? name.slice(0, dot) : name || 'list';
}
