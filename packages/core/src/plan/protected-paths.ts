import { expectedPath } from '../manifest/expected-path.js';
import type { Manifest } from '../manifest/model.js';
import type { Selection } from '../manifest/selection.js';

/** Every path that some entry of the manifest expects on this card, whether its system is selected or not. */
export function protectedPaths(manifest: Manifest, selection: Selection): ReadonlySet<string> {
  const all = [...manifest.firmware.values()];
  return new Set(all.map((firmware) => expectedPath(firmware, selection.loadout)));
}
