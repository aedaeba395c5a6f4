import { addTo } from '../collections.js';
import { sortedBy } from '../text/order.js';
import type { System } from './model.js';
import { firmwareOf } from './select-systems.js';

/** For each firmware id, the ids of those of the systems that require it or have it as optional, in UTF-8 order. */
export function systemsByFirmware(
  systems: Iterable<System>,
): ReadonlyMap<string, readonly string[]> {
  const users = new Map<string, string[]>();
  for (const system of sortedBy(systems, ({ id }) => id)) {
    for (const id of new Set(firmwareOf(system))) addTo(users, id, system.id);
  }
  return users;
}
