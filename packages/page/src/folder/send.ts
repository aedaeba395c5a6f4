import type { OnProgress } from '@firmtally/core';
import { Turns } from '@firmtally/core/internal';
import type { WorkerClient } from '../worker-client.js';
import type { Place } from '../worker/protocol.js';
import type { Picked } from './dropped.js';
import { looking } from './looking.js';

/** Paths handed over at a time: a millisecond's worth. */
const PART = 1000;

/** What is to be handed over. */
export interface ToSend {
  readonly place: Place;
  /** The folder's; null for loose files. */
  readonly name: string | null;
  readonly files: Iterable<Picked> | AsyncIterable<Picked>;
  /** How many, where that is known before. */
  readonly total: number | null;
}

/** Tells the worker what was picked, letting the page live meanwhile; gives how many files there are. */
export async function send(
  client: WorkerClient,
  { place, name, files, total }: ToSend,
  signal: AbortSignal,
  onProgress: OnProgress,
): Promise<number> {
  const held: Picked['file'][] = [];
  const folder = client.hold(place, held);
  await client.ask('begin', { place, folder, name });
  const turns = new Turns();
  let paths: string[] = [];
  const add = async (): Promise<void> => {
    // Answered only when it has come across: a slow worker is not buried in paths.
    await client.ask('add', { place, paths }, { signal });
    onProgress(looking(held.length, total, paths.at(-1) ?? ''));
    paths = [];
  };
  for await (const { path, file } of files) {
    paths.push(path);
    held.push(file);
    if (paths.length >= PART) await add();
    if (turns.isDue()) await turns.next();
    signal.throwIfAborted();
  }
  await add();
  return held.length;
}

/** What an `<input type="file" webkitdirectory>` picked: the folder's name, and its files without it. */
export function pickedByInput(files: FileList): { name: string; files: Iterable<Picked> } {
  const [first] = files;
  const name = first?.webkitRelativePath.split('/')[0] ?? '';
  if (first !== undefined && name === '') {
    throw new Error('This browser gave files and no folder: drop the folder here.');
  }
  return { name, files: below(files, name.length + 1) };
}

function* below(files: FileList, start: number): Generator<Picked> {
  for (const file of files) yield { path: file.webkitRelativePath.slice(start), file };
}
