import { ALGORITHMS, type Digests } from '../bytes/digests.js';
import type { DraftedDump } from './model.js';

/**
 * How a dump compares with another by what both give: `same` when a digest is
 * equal and nothing differs, `contradict` when a digest is equal and something
 * else is not, so that one has a slip.
 */
export function compare(
  a: Omit<DraftedDump, 'label'>,
  b: Omit<DraftedDump, 'label'>,
): 'same' | 'contradict' | 'differ' {
  let equal = false;
  let different = a.size !== null && b.size !== null && a.size !== b.size;
  for (const algorithm of ALGORITHMS) {
    const [x, y] = [a.digests[algorithm], b.digests[algorithm]];
    if (x === undefined || y === undefined) continue;
    if (x === y) equal = true;
    else different = true;
  }
  return equal ? (different ? 'contradict' : 'same') : 'differ';
}

/** What adding a dump came to: `slip` and `same-label` name the dump that it is at odds with. */
export type Added<Tag> =
  | { readonly kind: 'new' }
  | { readonly kind: 'known'; readonly other: Tag }
  | { readonly kind: 'slip' | 'same-label'; readonly other: Tag };

interface Slot<Tag> {
  dump: DraftedDump;
  readonly tag: Tag;
}

/** The acceptable dumps of one file, each once. Adding takes the same time however many there are. */
export class DumpSet<Tag> {
  readonly #slots: Slot<Tag>[] = [];
  readonly #byDigest = new Map<string, Slot<Tag>>();
  readonly #byLabel = new Map<string, Slot<Tag>>();

  get dumps(): DraftedDump[] {
    return this.#slots.map(({ dump }) => dump);
  }

  /** Rows that say the same of one dump become one; what contradicts another stays a dump of its own. */
  add(dump: DraftedDump, tag: Tag): Added<Tag> {
    const near = keysOf(dump.digests)
      .map((key) => this.#byDigest.get(key))
      .filter((slot) => slot !== undefined);
    const same = near.find((slot) => compare(slot.dump, dump) === 'same');
    if (same !== undefined) {
      same.dump = merged(same.dump, dump);
      this.#index(same);
      return { kind: 'known', other: same.tag };
    }
    const slot = { dump, tag };
    const namesake = dump.label === null ? undefined : this.#byLabel.get(dump.label);
    this.#slots.push(slot);
    this.#index(slot);
    const [slip] = near;
    if (slip !== undefined) return { kind: 'slip', other: slip.tag };
    return namesake === undefined ? { kind: 'new' } : { kind: 'same-label', other: namesake.tag };
  }

  #index(slot: Slot<Tag>): void {
    for (const key of keysOf(slot.dump.digests)) {
      if (!this.#byDigest.has(key)) this.#byDigest.set(key, slot);
    }
    const { label } = slot.dump;
    if (label !== null && !this.#byLabel.has(label)) this.#byLabel.set(label, slot);
  }
}

function keysOf(digests: Digests): string[] {
  return ALGORITHMS.flatMap((algorithm) => {
    const digest = digests[algorithm];
    return digest === undefined ? [] : [`${algorithm}:${digest}`];
  });
}

function merged(a: DraftedDump, b: DraftedDump): DraftedDump {
  const labels = [a.label, b.label].filter((label) => label !== null);
  const known = a.label?.split(' / ').includes(b.label ?? '') ?? false;
  return {
    label: labels.length === 2 && !known ? labels.join(' / ') : (labels[0] ?? null),
    size: a.size ?? b.size,
    digests: { ...b.digests, ...a.digests },
  };
}
