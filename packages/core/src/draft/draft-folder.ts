import { ReadError, type Entry, type FolderSource } from '../bytes/source.js';
import { ALGORITHMS, type FileDigester, type StreamDigests } from '../digest/engine.js';
import { FirmtallyError } from '../errors.js';
import { eachLimited } from '../each-limited.js';
import { MAX_MANIFEST_BYTES } from '../manifest/limits.js';
import { isSafePath } from '../manifest/rules/unsafe-path.js';
import { compareUtf8, sortedBy } from '../text/order.js';
import { folderOf } from '../text/path.js';
import { sentence } from '../text/sentence.js';
import { firmwareIds, systemIds } from './make-ids.js';
import type { Drafted, DraftedSystem, LeftOut } from './model.js';

export interface DraftFolderInput {
  readonly folder: FolderSource;
  readonly digester: FileDigester;
  /** The folder's own name; the title and the system of files directly in it are called after it. */
  readonly name: string;
  /** Bytes hashed since the last call. */
  readonly onBytes?: (count: number) => void;
}

/** Files hashed at once. */
const PARALLEL = 8;

/** Bytes one entry takes in a manifest at the least: its four digests are 144 hex digits. */
const LEAST_ENTRY = 200;
const MAX_FILES = Math.floor(MAX_MANIFEST_BYTES / LEAST_ENTRY);

/**
 * Drafts a manifest that says: each file as it is now is required, and the
 * files of one folder are one system. Links are left out, as what they lead to
 * is there itself; so are empty files, and names no manifest can hold. Whatever
 * is left out is named.
 *
 * Throws FirmtallyError when there are more files than one manifest may hold.
 */
export async function draftFolder(input: DraftFolderInput): Promise<Drafted> {
  const { files, leftOut } = await list(input.folder);
  if (files.length > MAX_FILES) {
    throw new FirmtallyError(
      'usage',
      `${input.name}: ${files.length} files are more than one manifest can hold`,
      'Draft its sub-folders one by one; several manifests go together with -m.',
    );
  }
  const found = await hash(files, input, leftOut);
  const drafted = files.filter(({ path }) => found.has(path));
  const ids = firmwareIds(drafted.map(({ path }) => path));
  return {
    title: `Draft of ${input.name}: check before use`,
    firmware: drafted.map(({ path, size }, index) => ({
      id: ids[index] ?? '',
      path,
      size: found.get(path)?.size ?? size,
      digests: found.get(path)?.digests ?? {},
    })),
    systems: systemsOf(drafted, ids, input.name),
    leftOut: sortedBy(leftOut, ({ path }) => path),
  };
}

async function list(folder: FolderSource): Promise<{ files: Entry[]; leftOut: LeftOut[] }> {
  const files: Entry[] = [];
  const leftOut: LeftOut[] = [];
  for await (const entry of folder.list()) {
    if ('code' in entry) {
      leftOut.push({ path: entry.path, reason: sentence(entry.message) });
      continue;
    }
    if (entry.kind === 'folder') continue;
    const reason = reasonAgainst(entry);
    if (reason === null) files.push(entry);
    else leftOut.push({ path: entry.path, reason });
  }
  return { files: files.sort((a, b) => compareUtf8(a.path, b.path)), leftOut };
}

/** Why an entry cannot be drafted; null when it can. */
function reasonAgainst(entry: Entry): string | null {
  if (entry.kind === 'link') return 'This is a link; what it leads to is drafted where it lies.';
  if (entry.kind !== 'file') return `This is not a file (${entry.kind}).`;
  if (!isSafePath(entry.path)) {
    return 'A manifest cannot hold this name; rename the file, and draft again.';
  }
  return entry.size === 0 ? 'The file is empty, so there is nothing to check it by.' : null;
}

async function hash(
  files: readonly Entry[],
  { digester, onBytes }: DraftFolderInput,
  leftOut: LeftOut[],
): Promise<Map<string, StreamDigests>> {
  const found = new Map<string, StreamDigests>();
  await eachLimited(files, PARALLEL, async ({ path }) => {
    try {
      found.set(path, await digester.digestFile(path, ALGORITHMS, onBytes));
    } catch (error) {
      if (!(error instanceof ReadError)) throw error;
      leftOut.push({ path, reason: sentence(error.message) });
    }
  });
  return found;
}

function systemsOf(
  files: readonly Entry[],
  ids: readonly string[],
  rootName: string,
): DraftedSystem[] {
  const members = new Map<string, string[]>();
  for (const [index, { path }] of files.entries()) {
    const folder = folderOf(path);
    const requires = members.get(folder) ?? [];
    requires.push(ids[index] ?? '');
    members.set(folder, requires);
  }
  const folders = [...members.keys()].sort(compareUtf8);
  const systems = systemIds(folders, rootName);
  return folders.map((folder, index) => ({
    id: systems[index] ?? '',
    name: folder === '' ? rootName : folder,
    requires: members.get(folder) ?? [],
  }));
}
