import type { WrittenFile, Located } from '../written.js';
import type { Spot } from '../parse/source-text.js';
import type { CheckedRule } from './check.js';

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
