import { ProgressCount } from '../bytes/progress.js';
import { ReadError, type Entry, type PileSource } from '../bytes/source.js';
import { ALGORITHMS } from '../bytes/digests.js';
import { USUAL_JOBS, type SourceTaskOptions } from '../digest/source-task.js';
import { naming } from '../digest/platform-failure.js';
import { digestFile } from '../digest/stream.js';
import { checkedPile } from '../digest/checked.js';
import { buildInventory } from '../inventory/build-inventory.js';
import { eachLimited } from '../each-limited.js';
import { FirmtallyError } from '../errors.js';
import { leftOutFor, type LeftOutReason } from '../facts/left-out.js';
import { MAX_MANIFEST_BYTES } from '../manifest/limits.js';
import { isSafePath } from '../manifest/safe-path.js';
import { compareUtf8 } from '../text/order.js';
import { folderOf } from '../text/path.js';
import { assemble } from './assemble.js';
import { draftZip } from './draft-zip.js';
import type { Drafted, DraftNote, EntryOptions, FoundFile, LeftOut } from './model.js';
import type { Note } from './note.js';

/** Without an archive reader, ZIPs are drafted as whole files. */
export interface DraftFilesOptions extends EntryOptions, SourceTaskOptions {}

/** Bytes one entry takes in a manifest at the least: its four digests are 144 hex digits. */
const LEAST_ENTRY = 200;
const MAX_FILES = Math.floor(MAX_MANIFEST_BYTES / LEAST_ENTRY);

/**
 * Drafts a manifest that says: each file as it is now is required, and the
 * files of one folder are one system. Links are left out, as what they lead to
 * is there itself; so are empty files, and names no manifest can hold. Whatever
 * is left out is named.
 *
 * @throws FirmtallyError('usage') when there are more files than one manifest
 * may hold, or an option cannot be meant
 */
export async function draftFiles(
  sources: readonly PileSource[],
  options: DraftFilesOptions,
): Promise<Drafted> {
  const leftOut: LeftOut[] = [];
  const notes: DraftNote[] = [];
  const progress = new ProgressCount(options.onProgress);
  progress.start('list');
  const checked = checkedPile(sources, options.signal);
  const lists: (readonly Entry[])[] = [];
  for (const source of checked) lists.push(await list(source, leftOut, progress, options.signal));
  const all = lists.flat();
  if (all.length > MAX_FILES) {
    throw new FirmtallyError(
      'usage',
      `${all.length} files are more than one manifest can hold`,
      'Draft the sub-folders one by one; several manifests can be used together.',
    );
  }
  progress.start('read', {
    files: all.length,
    bytes: all.reduce((sum, { size }) => sum + size, 0),
  });
  const files: FoundFile[] = [];
  for (const [index, source] of checked.entries()) {
    const found = await find(source, lists[index] ?? [], { options, progress, leftOut, notes });
    for (const file of found) files.push(file);
  }
  const names = sources.map(({ name }) => name).join(', ');
  const shown = names.length > 200 ? `${names.slice(0, 200)}…` : names;
  const drafted = assemble(
    { from: 'files', title: `Draft of ${shown}: check before use`, files, leftOut, notes },
    options,
  );
  const rank = new Map(sources.map(({ name }, index) => [name, index]));
  return {
    ...drafted,
    leftOut: [...drafted.leftOut].sort(
      (a, b) =>
        (rank.get(a.source) ?? 0) - (rank.get(b.source) ?? 0) || compareUtf8(a.text, b.text),
    ),
  };
}

interface Task {
  readonly options: DraftFilesOptions;
  readonly progress: ProgressCount;
  readonly leftOut: LeftOut[];
  readonly notes: DraftNote[];
}

async function find(
  source: PileSource,
  entries: readonly Entry[],
  task: Task,
): Promise<FoundFile[]> {
  const { options, progress, leftOut, notes } = task;
  const found = new Map<string, FoundFile['content']>();
  await eachLimited(entries, options.jobs ?? USUAL_JOBS, async (entry) => {
    const at = { source: source.name, line: null, endLine: null, text: entry.path };
    let counted = 0;
    // A ZIP counts as the bytes it has, not as those of its members.
    const advance = (bytes: number): void => {
      const more = Math.min(bytes, entry.size - counted);
      counted += more;
      progress.advance(more, entry.path);
    };
    const reading: Reading = {
      onBytes: advance,
      note: (note) => notes.push({ ...at, ...note }),
    };
    try {
      const content = await naming(entry.path, contentOf(entry, source, options, reading));
      if ('code' in content) leftOut.push({ ...at, reason: content });
      else found.set(entry.path, content);
    } catch (error) {
      if (!(error instanceof ReadError)) throw error;
      leftOut.push({ ...at, reason: leftOutFor('unreadable', { reason: error.message }) });
    }
    advance(entry.size - counted);
    progress.done(entry.path);
  });
  return entries.flatMap(({ path }): FoundFile[] => {
    const content = found.get(path);
    if (content === undefined) return [];
    const folder = folderOf(path);
    const system = { key: `folder ${folder}`, name: folder || source.name };
    const origin = { source: source.name, line: null, endLine: null, text: path };
    return [{ path, content, system, optional: false, origin }];
  });
}

async function list(
  { folder, name }: PileSource,
  leftOut: LeftOut[],
  count: ProgressCount,
  signal: AbortSignal | undefined,
): Promise<Entry[]> {
  const files: Entry[] = [];
  const leaveOut = (path: string, reason: LeftOutReason): void => {
    leftOut.push({ source: name, line: null, endLine: null, text: path, reason });
  };
  const { entries, faults } = await buildInventory(folder, { signal, count });
  for (const { path, message } of faults)
    leaveOut(path, leftOutFor('unreadable', { reason: message }));
  for (const entry of entries) {
    if (entry.kind === 'folder') continue;
    const reason = reasonAgainst(entry);
    if (reason === null) files.push(entry);
    else leaveOut(entry.path, reason);
  }
  return files;
}

/** Why an entry cannot be drafted; null when it can. */
function reasonAgainst(entry: Entry): LeftOutReason | null {
  if (entry.kind === 'link') return leftOutFor('link', {});
  if (entry.kind !== 'file') return leftOutFor('not-a-file', { kind: entry.kind });
  if (!isSafePath(entry.path)) {
    return leftOutFor('file-name-not-held', {});
  }
  return entry.size === 0 ? leftOutFor('empty', {}) : null;
}

interface Reading {
  readonly onBytes: (count: number) => void;
  readonly note: (note: Note) => void;
}

/** The content as a manifest describes it, or why it cannot. */
async function contentOf(
  entry: Entry,
  { folder }: PileSource,
  { platform, signal }: DraftFilesOptions,
  { onBytes, note }: Reading,
): Promise<FoundFile['content'] | LeftOutReason> {
  const { archives, engine } = platform;
  if (archives !== null && /\.zip$/iu.test(entry.path)) {
    const members = await draftZip(folder, entry, { archives, engine, onBytes, signal, note });
    if (members !== null) return 'code' in members ? members : { members };
  }
  const options = { onBytes, signal };
  const { size, digests } = await digestFile(folder, entry.path, ALGORITHMS, engine, options);
  return { dump: { label: null, size, digests } };
}
