import { foldersAbove, joinPath } from '../text/path.js';
import type { Firmware, Loadout } from './model.js';

/** Where an entry is expected: its own folder, else the loadout's, else its manifest's, joined with its path. */
export function expectedPath(
  firmware: Pick<Firmware, 'folder' | 'defaultFolder' | 'path'>,
  loadout: Pick<Loadout, 'folder'> | null,
): string {
  return joinPath(firmware.folder ?? loadout?.folder ?? firmware.defaultFolder, firmware.path);
}

/** Where content is under a loadout: the folder itself, or the nearest above it that the loadout moves, and the rest. */
export function contentFolder(folder: string, loadout: Pick<Loadout, 'content'>): string {
  for (const above of [folder, ...foldersAbove(folder).reverse(), '']) {
    const moved = loadout.content.get(above);
    if (moved === undefined) continue;
    const rest = above === '' ? folder : folder.slice(above.length + 1);
    return rest === '' ? moved : joinPath(moved, rest);
  }
  return folder;
}
