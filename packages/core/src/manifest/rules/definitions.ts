import { toFirmware, toLoadout, toSystem } from '../build.js';
import type { Spot } from '../parse/source-text.js';
import type { Located, WrittenFile } from '../written.js';
import type { CheckedRule } from './rule.js';

export const repeatedId: CheckedRule = {
  id: 'repeated-id',
  severity: 'warning',
  description: 'An id stands once in its list.',
  check({ files, problems }) {
    for (const lists of files.flatMap(idLists)) {
      const seen = new Map<string, { spot: Spot; list: IdList }>();
      for (const [id, list] of lists.flatMap((list) => list.ids.map((id) => [id, list] as const))) {
        const first = seen.get(id.value);
        if (first === undefined) {
          seen.set(id.value, { spot: id.spot, list });
          continue;
        }
        problems.add(repeatedId, id.spot, {
          message:
            first.list === list
              ? `"${id.value}" is already in this list.`
              : `"${id.value}" is already in "${first.list.key}" of this system.`,
          advice: 'remove one of them',
          related: [{ message: 'the first one is here', spot: first.spot }],
        });
      }
    }
  },
};

interface IdList {
  readonly key: string;
  readonly ids: readonly Located<string>[];
}

/** Lists in which together an id should stand once. */
function idLists(file: WrittenFile): (readonly IdList[])[] {
  return [
    ...file.systems.flatMap((system) => [
      // What a system requires for certain is not optional: an id cannot be both.
      [
        {
          key: 'requires',
          ids: system.requires.filter(({ anyOf }) => !anyOf).flatMap(({ ids }) => ids),
        },
        { key: 'optional', ids: system.optional },
      ],
      ...system.requires.filter(({ anyOf }) => anyOf).map(({ ids }) => [{ key: 'any-of', ids }]),
    ]),
    ...file.loadouts.map((loadout) => [{ key: 'systems', ids: loadout.systems }]),
  ];
}

interface Definition {
  readonly id: Located<string>;
  /** Equal texts mean equal definitions. */
  readonly content: () => string;
}

export const idConflict: CheckedRule = {
  id: 'id-conflict',
  severity: 'error',
  description: 'An id that several manifests define is defined in the same way.',
  check({ files, problems }) {
    for (const [noun, definitions] of [
      ['firmware', (file: WrittenFile) => file.firmware.map((d) => define(d, toFirmware))],
      ['system', (file: WrittenFile) => file.systems.map((d) => define(d, toSystem))],
      ['loadout', (file: WrittenFile) => file.loadouts.map((d) => define(d, toLoadout))],
    ] as const) {
      const seen = new Map<string, Definition>();
      for (const definition of files.flatMap<Definition>(definitions)) {
        const { id } = definition;
        const first = seen.get(id.value);
        if (first === undefined) seen.set(id.value, definition);
        else if (first.content() !== definition.content()) {
          problems.add(idConflict, id.spot, {
            message: `The ${noun} "${id.value}" is defined differently in another manifest.`,
            advice: 'rename one, or make both the same',
            related: [{ message: 'the other definition is here', spot: first.id.spot }],
          });
        }
      }
    }
  },
};

/** Everything but where it stands counts; the manifest's own folder and case too, as they say where the file belongs. */
function define<W extends { readonly id: Located<string> }>(
  written: W,
  toModel: (written: W) => object,
): Definition {
  return { id: written.id, content: () => JSON.stringify(toModel(written), comparable) };
}

function comparable(key: string, value: unknown): unknown {
  if (key === 'location') return undefined;
  return value instanceof Map ? [...(value as ReadonlyMap<unknown, unknown>)] : value;
}
