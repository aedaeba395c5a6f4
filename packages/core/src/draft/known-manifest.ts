import { leftOutFor, type LeftOutReason } from '../facts/left-out.js';
import { expectedPath } from '../manifest/expected-path.js';
import type { Dump, Firmware, Manifest, System } from '../manifest/model.js';
import { foldCase } from '../text/fold.js';
import { compare } from './merge-dumps.js';
import type { DraftedDump, DraftedMember, EntryOptions } from './model.js';

/** The manifest that entries are added to, by what adding asks for; or none, and then it knows nothing. */
export class KnownManifest {
  readonly #manifest: Manifest | null;
  /** Its own folder; '' is the root. */
  readonly folder: string;
  readonly #byPath = new Map<string, Firmware>();
  readonly #systemsByName = new Map<string, string>();

  constructor(into: EntryOptions['into'] | null) {
    const manifest = into?.manifest ?? null;
    this.#manifest = manifest;
    this.folder = into?.folder ?? '';
    for (const firmware of manifest?.firmware.values() ?? []) {
      const path = expectedPath(firmware, null);
      if (!this.#byPath.has(path)) this.#byPath.set(path, firmware);
    }
    for (const { id, name } of manifest?.systems.values() ?? []) {
      for (const text of [id, foldCase(name)]) {
        if (!this.#systemsByName.has(text)) this.#systemsByName.set(text, id);
      }
    }
  }

  get exists(): boolean {
    return this.#manifest !== null;
  }

  get paths(): Iterable<string> {
    return this.#byPath.keys();
  }

  get firmwareIds(): Iterable<string> {
    return this.#manifest?.firmware.keys() ?? [];
  }

  get systemIds(): Iterable<string> {
    return this.#manifest?.systems.keys() ?? [];
  }

  /** The id of the entry that is expected at a path. */
  idAt(path: string): string | null {
    return this.#byPath.get(path)?.id ?? null;
  }

  hasMembers(path: string): boolean {
    return (this.#byPath.get(path)?.members ?? null) !== null;
  }

  /** Those dumps that the entry does not have. */
  lacking(path: string, dumps: readonly DraftedDump[]): DraftedDump[] {
    const has = this.#byPath.get(path)?.dumps ?? [];
    return dumps.filter((dump) => !isAmong(dump, has));
  }

  /** Why members cannot be those of the entry at this path; null when there is no entry, or it wants the same. */
  reasonAgainstMembers(path: string, members: readonly DraftedMember[]): LeftOutReason | null {
    const firmware = this.#byPath.get(path);
    if (firmware === undefined) return null;
    if (firmware.members === null) {
      return leftOutFor('judged-whole', {});
    }
    const found = new Map(members.map((member) => [member.path, member.dumps]));
    const agrees = firmware.members.every(({ path: name, dumps }) =>
      found.get(name)?.every((dump) => isAmong(dump, dumps)),
    );
    return agrees ? null : leftOutFor('other-members', {});
  }

  /** The id of the system that a drafted one is, by id or by name. */
  systemNamed(key: string, name: string): string | null {
    if (key.startsWith('id ')) return this.#manifest?.systems.has(name) === true ? name : null;
    return this.#systemsByName.get(name) ?? this.#systemsByName.get(foldCase(name)) ?? null;
  }

  /** Whether a system requires an entry, as one of several or alone, or has it as optional. */
  names(system: string, id: string): boolean {
    return idsOf(this.#manifest?.systems.get(system)).has(id);
  }
}

function idsOf(system: System | undefined): Set<string> {
  const items = system?.requires ?? [];
  return new Set([
    ...items.flatMap((item) => ('firmware' in item ? [item.firmware] : item.anyOf)),
    ...(system?.optional ?? []),
  ]);
}

/** Entries of a manifest have few dumps: comparing with each is quick. */
function isAmong(dump: DraftedDump, dumps: readonly Dump[]): boolean {
  return dumps.some((other) => compare(other, dump) === 'same');
}
