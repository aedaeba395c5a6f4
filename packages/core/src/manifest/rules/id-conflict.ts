import { toFirmware, toLoadout, toSystem } from '../build.js';
import type { DraftFile, Located } from '../draft.js';
import type { CheckedRule } from './check.js';

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
      ['firmware', (file: DraftFile) => file.firmware.map((d) => define(d, toFirmware))],
      ['system', (file: DraftFile) => file.systems.map((d) => define(d, toSystem))],
      ['loadout', (file: DraftFile) => file.loadouts.map((d) => define(d, toLoadout))],
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

/** Everything but the place counts; the manifest's own folder and case too, as they say where the file belongs. */
function define<D extends { readonly id: Located<string> }>(
  draft: D,
  toModel: (draft: D) => object,
): Definition {
  return { id: draft.id, content: () => JSON.stringify({ ...toModel(draft), place: null }) };
}
