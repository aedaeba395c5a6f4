import {
  identify,
  type IdentificationDocument,
  type Manifest,
  type TaskProgress,
} from '@firmtally/core';
import type { PickedFolder } from './folder/picked-folder.js';
import { browserPlatform, withWorkers } from './hash/pool.js';

/** Says what the files of a pile are, as the command `identify` does. */
export function identifyPicked(
  pile: PickedFolder,
  manifest: Manifest,
  signal: AbortSignal,
  onProgress: (progress: TaskProgress) => void,
): Promise<IdentificationDocument> {
  return withWorkers(pile, onProgress, (folder, jobs) =>
    identify([{ name: pile.name, kind: 'folder', folder }], {
      manifests: manifest,
      platform: browserPlatform,
      jobs,
      signal,
      onProgress,
    }),
  );
}
