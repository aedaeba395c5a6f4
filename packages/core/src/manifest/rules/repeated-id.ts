import type { DraftFile, Located } from '../draft.js';
import type { CheckedRule } from './check.js';

export const repeatedId: CheckedRule = {
  id: 'repeated-id',
  severity: 'warning',
  description: 'An id stands once in its list.',
  check({ files, problems }) {
    for (const list of files.flatMap(idLists)) {
      const seen = new Map<string, Located<string>>();
      for (const id of list) {
        const first = seen.get(id.value);
        if (first === undefined) {
          seen.set(id.value, id);
          continue;
        }
        problems.add(repeatedId, id.spot, {
          message: `"${id.value}" is already in this list.`,
          advice: 'remove one of them',
          related: [{ message: 'the first one is here', spot: first.spot }],
        });
      }
    }
  },
};

function idLists(file: DraftFile): (readonly Located<string>[])[] {
  return [
    ...file.systems.flatMap((system) => [
      // What a system requires for certain and what is optional is one list: an id cannot be both.
      [
        ...system.requires.filter(({ anyOf }) => !anyOf).flatMap(({ ids }) => ids),
        ...system.optional,
      ],
      ...system.requires.filter(({ anyOf }) => anyOf).map(({ ids }) => ids),
    ]),
    ...file.loadouts.map((loadout) => loadout.systems),
  ];
}
