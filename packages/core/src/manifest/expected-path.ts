import { joinPath } from '../text/path.js';
import type { Firmware, Loadout } from './model.js';

/** Where an entry is expected: its own folder, else the loadout's, else its manifest's, joined with its path. */
export function expectedPath(
  firmware: Pick<Firmware, 'folder' | 'defaultFolder' | 'path'>,
  loadout: Pick<Loadout, 'folder'> | null,
): string {
  return joinPath(firmware.folder ?? loadout?.folder ?? firmware.defaultFolder, firmware.path);
}
