import type { Manifest } from '../manifest/model.js';
import { compareUtf8 } from '../text/order.js';

/** For each firmware id, the ids of the systems that require it or have it as optional, sorted. */
export function systemsByFirmware(manifest: Manifest): ReadonlyMap<string, readonly string[]> {
  const users = new Map<string, Set<string>>();
  for (const system of manifest.systems.values()) {
    const required = system.requires.flatMap((item) =>
      'firmware' in item ? [item.firmware] : item.anyOf,
    );
    for (const id of [...required, ...system.optional]) {
      const systems = users.get(id) ?? new Set();
      users.set(id, systems.add(system.id));
    }
  }
  return new Map([...users].map(([id, systems]) => [id, [...systems].sort(compareUtf8)]));
}
