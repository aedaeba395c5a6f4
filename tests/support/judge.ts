import type { Firmware, FirmwareVerdict } from '@firmtally/core';
import { buildInventory, judgeFirmware, type Judgement } from '@firmtally/core/internal';
import { expected } from './entries.js';
import { MemoryFolder, nodeHashes, PLATFORM, type MemoryItem } from './memory-folder.js';

export interface Judged extends Judgement {
  readonly folder: MemoryFolder;
}

/** Judges entries against a folder in memory. */
export async function judge(
  items: Readonly<Record<string, MemoryItem>> | ReadonlyMap<string, MemoryItem>,
  entries: readonly Firmware[],
  {
    archives,
    ...options
  }: {
    readonly wide?: boolean;
    readonly jobs?: number;
    readonly archives?: null;
  } = {},
): Promise<Judged> {
  const folder = new MemoryFolder(items);
  const judgement = await judgeFirmware({
    expected: entries.map(expected),
    inventory: await buildInventory(folder),
    folder,
    platform: archives === null ? { engine: nodeHashes, archives } : PLATFORM,
    ...options,
  });
  return { ...judgement, folder };
}

/** The verdict on a single entry. */
export async function judgeOne(
  items: Readonly<Record<string, MemoryItem>>,
  entry: Firmware,
  options: { readonly wide?: boolean; readonly archives?: null } = {},
): Promise<FirmwareVerdict> {
  const { verdicts } = await judge(items, [entry], options);
  const [verdict] = verdicts;
  if (verdict === undefined) throw new Error('no verdict');
  return verdict;
}
