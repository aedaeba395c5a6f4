import type { Dump, Firmware, Manifest, System } from '../../manifest/model.js';
import type { Drafted } from '../model.js';

/**
 * Compares what a manifest says before and after entries were added: null when
 * it says all it said, in the order in which it did, and besides only what was
 * drafted; else one sentence that names the first thing lost or changed.
 */
export function firstLoss(before: Manifest, after: Manifest, drafted: Drafted): string | null {
  const grows = new Map(drafted.firmware.map(({ id, dumps }) => [id, dumps.length]));
  for (const old of before.firmware.values()) {
    const now = after.firmware.get(old.id);
    if (now === undefined || !sameEntry(old, now, grows.get(old.id) ?? 0)) {
      return `adding would change the entry "${old.id}"`;
    }
  }
  const wanted = new Map(drafted.systems.map((system) => [system.id, system]));
  for (const old of before.systems.values()) {
    const now = after.systems.get(old.id);
    const more = wanted.get(old.id);
    if (
      now === undefined ||
      !sameSystem(old, now, more?.requires.length ?? 0, more?.optional.length ?? 0)
    ) {
      return `adding would change the system "${old.id}"`;
    }
  }
  if (text([...before.loadouts.values()]) !== text([...after.loadouts.values()])) {
    return 'adding would change a loadout';
  }
  if (before.sources[0]?.title !== after.sources[0]?.title) return 'adding would change the title';
  const fresh = drafted.firmware.filter(({ known }) => !known).length;
  if (after.firmware.size !== before.firmware.size + fresh) return 'not all entries could be added';
  const systems = drafted.systems.filter(({ known }) => !known).length;
  return after.systems.size === before.systems.size + systems
    ? null
    : 'not all systems could be added';
}

/** What a value says, wherever it is written. */
function text(value: unknown): string {
  return JSON.stringify(value, (key, part: unknown) =>
    key === 'place' || key === 'location' ? undefined : part,
  );
}

function sameEntry(old: Firmware, now: Firmware, more: number): boolean {
  return (
    text({ ...old, dumps: [] }) === text({ ...now, dumps: [] }) &&
    now.dumps.length === old.dumps.length + more &&
    old.dumps.every((dump: Dump, index) => text(dump) === text(now.dumps[index]))
  );
}

function sameSystem(old: System, now: System, requires: number, optional: number): boolean {
  return (
    text({ ...old, requires: [], optional: [] }) === text({ ...now, requires: [], optional: [] }) &&
    now.requires.length === old.requires.length + requires &&
    now.optional.length === old.optional.length + optional &&
    text(now.requires.slice(0, old.requires.length)) === text(old.requires) &&
    text(now.optional.slice(0, old.optional.length)) === text(old.optional)
  );
}
