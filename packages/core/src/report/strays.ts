import { isReadable } from '../bytes/source.js';
import type { Inventory } from '../inventory/inventory.js';
import { contentOf, picturesOf } from '../judge/folder-check.js';
import type { FirmwareVerdict } from '../judge/verdict.js';
import type { FolderCheck } from '../manifest/model.js';
import { sortedBy } from '../text/order.js';
import { folderOf } from '../text/path.js';
import type { Stray } from './model.js';

export interface StrayInput {
  readonly inventory: Inventory;
  readonly verdicts: readonly FirmwareVerdict[];
  /** Expected paths of entries that are not judged, whose files are no strays either. */
  readonly otherPaths: readonly string[];
  readonly folders: readonly { readonly check: FolderCheck; readonly ignoresCase: boolean }[];
}

/** Files in or below a folder that holds an expected path, which nothing accounts for. In UTF-8 order of path. */
export function findStrays(input: StrayInput): Stray[] {
  const { inventory, verdicts } = input;
  const accounted = new Set<string>();
  for (const { expectedPath, foundAt, judged } of verdicts) {
    for (const path of [expectedPath, foundAt, judged]) {
      const entry = path === null ? undefined : inventory.get(path);
      if (entry !== undefined) accounted.add(entry.path);
    }
  }
  for (const path of input.otherPaths) {
    const entry = inventory.get(path);
    if (entry !== undefined) accounted.add(entry.path);
  }
  for (const { check, ignoresCase } of input.folders) {
    for (const entry of contentOf(check, inventory, ignoresCase)) accounted.add(entry.path);
    for (const entry of picturesOf(check, inventory, ignoresCase)) accounted.add(entry.path);
  }
  const strays = new Map<string, Stray>();
  for (const folder of new Set(verdicts.map(({ expectedPath }) => folderOf(expectedPath)))) {
    for (const entry of inventory.below(folder)) {
      if (!isReadable(entry) || accounted.has(entry.path)) continue;
      strays.set(entry.path, { path: entry.path, size: entry.size });
    }
  }
  return sortedBy(strays.values(), (stray) => stray.path);
}
